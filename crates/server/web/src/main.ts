import './style.css';
import './desk.css';
import { BodyView } from './body-view';
import { byId } from './dom';
import { FlatView } from './flat-view';
import { Office } from './office';
import { fitToPaper } from './print';
import { Side } from './side';
import { splitter } from './splitter';
import { isViewName, VIEW_NAMES, VIEWS } from './standard-views';

const QUARTER = Math.PI / 12;
const SHIFT_PX = 30;

let office: Office | null = null;
let side: Side | null = null;

function makeBodyView(): BodyView | null {
  try {
    // Asked first on another canvas: the drawing library would complain aloud where there is no WebGL.
    if (!document.createElement('canvas').getContext('webgl2')) throw new Error('no WebGL');
    return new BodyView(byId<HTMLCanvasElement>('body-canvas'), {
      clicked: (at) => office?.views.clicked(at),
      pointed: (at) => (byId('under-pointer').textContent = office?.views.pointed(at) ?? ''),
      moved: () => office?.drawn(),
      drawn: () => office?.views.drawn(),
    });
  } catch {
    // Without WebGL the flats, lists and findings still serve.
    byId('body-none').hidden = false;
    return null;
  }
}

function viewKeys(view: BodyView, canvas: HTMLCanvasElement): void {
  canvas.addEventListener('keydown', (event) => {
    const round = event.shiftKey;
    const keys: Record<string, () => void> = {
      ArrowLeft: () => (round ? view.shift(-SHIFT_PX, 0) : view.turn(-QUARTER, 0)),
      ArrowRight: () => (round ? view.shift(SHIFT_PX, 0) : view.turn(QUARTER, 0)),
      ArrowUp: () => (round ? view.shift(0, -SHIFT_PX) : view.turn(0, QUARTER)),
      ArrowDown: () => (round ? view.shift(0, SHIFT_PX) : view.turn(0, -QUARTER)),
      '+': () => view.enlarge(1.2),
      '=': () => view.enlarge(1.2),
      '-': () => view.enlarge(1 / 1.2),
      Escape: () => void office?.pick(''),
    };
    const action = keys[event.key];
    if (!action || event.ctrlKey || event.metaKey || event.altKey) return;
    event.preventDefault();
    action();
  });
}

/** The keys of the standard views act in the body and where nothing has the focus, so that they disturb no typing. */
function standardViewKeys(canvas: HTMLCanvasElement): void {
  document.addEventListener('keydown', (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    if (event.target !== canvas && event.target !== document.body) return;
    const name = VIEW_NAMES.find((view) => VIEWS[view].key === event.key.toLowerCase());
    if (name) office?.setView(name);
  });
}

function start(): void {
  const body = makeBodyView();
  const flat = new FlatView(byId<HTMLElement>('flat-drawing') as unknown as SVGSVGElement, {
    named: (text) => (byId('flat-named').textContent = text),
    chosen: (text) => office?.say(`${text}.`),
    laidOut: () => office?.drawn(),
    drawn: (content, layout, turns) => {
      office?.views.flatDrawn(content, layout, turns);
      side?.artwork.flatDrawn(content, office?.flatShown ?? null, layout, turns);
    },
  });
  office = new Office(body, flat);
  side = new Side(office, body, flat);
  const canvas = byId<HTMLCanvasElement>('body-canvas');
  if (body) viewKeys(body, canvas);
  standardViewKeys(canvas);
  splitter(byId('splitter'), byId('field'));
  fitToPaper(byId('sheet'), () => body?.drawNow());
  for (const button of document.querySelectorAll<HTMLButtonElement>('[data-view]')) {
    button.addEventListener('click', () => {
      const name = button.dataset.view ?? '';
      if (isViewName(name)) office?.setView(name);
    });
  }
  byId('skip').addEventListener('click', (event) => {
    // The address behind # says what is shown, so the link moves the focus only.
    event.preventDefault();
    byId('parts').querySelector<HTMLElement>('[tabindex="0"]')?.focus();
  });
  void office.start();
}

start();

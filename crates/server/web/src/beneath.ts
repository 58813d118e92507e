// A works drawing laid under the body: brought to scale by two points, moved and faded. It never leaves the page.

import { Vector3 } from 'three';
import type { BodyView } from './body-view';
import type { Desk } from './desk';
import { html, mm, svg } from './dom';
import { fullSize, readFullSize } from './full-size';
import type { Ink } from './ink';
import type { ViewName } from './standard-views';

/** Drawn as large as this when the picture itself has no size. */
const NO_SIZE_PX = 1000;

/** Steps of the arrow keys (px): alone, and with shift. */
const STEP_PX = 1;
const FAR_PX = 10;

interface Spot {
  x: number;
  y: number;
}

/** How the picture lies: millimetres of the model a pixel of the picture, and its turn (rad, clockwise). */
export interface Laid {
  mmPerPx: number;
  turn: number;
}

/** The scale and turn by which two points of a picture lie as far apart as they should, and level or upright if wanted. */
export function laidBy(a: Spot, b: Spot, length_mm: number, straighten: boolean): Laid | null {
  const [dx, dy] = [b.x - a.x, b.y - a.y];
  const px = Math.hypot(dx, dy);
  if (px < 2 || !(length_mm > 0)) return null;
  const angle = Math.atan2(dy, dx);
  const quarter = Math.PI / 2;
  return { mmPerPx: length_mm / px, turn: straighten ? Math.round(angle / quarter) * quarter - angle : 0 };
}

type Task = 'none' | 'points' | 'move';

export class Beneath {
  readonly tray = html('div');
  private readonly picture = html('img', { id: 'beneath', alt: 'Works drawing laid under the body', draggable: 'false' });
  private readonly sheet = html('div', { id: 'beneath-sheet', class: 'beneath', tabindex: '0', role: 'application', 'aria-label': 'Works drawing: place of a point' });
  private readonly chooser = html('input', { type: 'file', id: 'beneath-file', accept: 'image/png,image/jpeg,image/svg+xml' });
  private readonly length = html('input', { type: 'text', id: 'beneath-length', placeholder: '8ft 0in', size: 12, autocomplete: 'off' });
  private readonly straight = html('input', { type: 'checkbox', id: 'beneath-level', checked: true });
  private readonly note = html('p', { class: 'quiet', id: 'beneath-note', role: 'status', 'aria-live': 'polite' });
  private readonly rest = html('div', { hidden: true });
  private readonly pointsButton = html('button', { type: 'button', id: 'beneath-points', 'aria-pressed': 'false' }, 'Two points');
  private readonly moveButton = html('button', { type: 'button', id: 'beneath-move', 'aria-pressed': 'false' }, 'Move it');
  private natural = { width: 1, height: 1 };
  private laid: Laid = { mmPerPx: 1, turn: 0 };
  /** The middle of the picture in each view: millimetres right and up. */
  private readonly middles = new Map<ViewName, { right: number; up: number }>();
  private points: Spot[] = [];
  private cross: Spot = { x: 0, y: 0 };
  private task: Task = 'none';
  private on = false;
  private address = '';

  constructor(
    private readonly room: HTMLElement,
    private readonly canvas: HTMLElement,
    private readonly view: BodyView,
    private readonly ink: Ink,
    private readonly desk: Desk,
  ) {
    this.picture.hidden = true;
    this.sheet.hidden = true;
    canvas.before(this.picture);
    canvas.after(this.sheet);
    this.build();
    this.listen();
    this.say('Drop a picture of the drawing (PNG, JPEG or SVG) on the body, or choose a file. It stays in this page.');
  }

  use(on: boolean): void {
    this.on = on;
    if (!on) this.take('none');
    this.place();
  }

  /** A picture to lay under the body. */
  async show(file: File): Promise<boolean> {
    if (!/^image\/(png|jpeg|svg\+xml)$/.test(file.type)) {
      this.say(`${file.name} is no picture that can be laid under the body: PNG, JPEG or SVG.`);
      return false;
    }
    const address = URL.createObjectURL(file);
    this.picture.src = address;
    try {
      await this.picture.decode();
    } catch {
      URL.revokeObjectURL(address);
      this.picture.removeAttribute('src');
      this.say(`${file.name} cannot be read as a picture.`);
      return false;
    }
    if (this.address) URL.revokeObjectURL(this.address);
    this.address = address;
    this.natural = { width: this.picture.naturalWidth || NO_SIZE_PX, height: this.picture.naturalHeight || NO_SIZE_PX };
    this.picture.style.width = `${this.natural.width}px`;
    this.picture.style.height = `${this.natural.height}px`;
    this.points = [];
    this.middles.clear();
    this.layToFit();
    this.rest.hidden = false;
    this.say(`${file.name}: set two points a known distance apart.`);
    this.place();
    return true;
  }

  /** Follows the eye. */
  place(): void {
    const middle = this.middle();
    const shown = this.on && this.address !== '' && middle !== null;
    this.picture.hidden = !shown;
    this.sheet.hidden = !shown || this.task === 'none';
    if (this.on && this.address !== '' && middle === null) this.say('A drawing lies under the side, front, plan and rear views only.');
    this.ink.set('beneath', shown && this.task === 'points' ? () => this.marks() : null);
    if (!shown || !middle) return;
    const at = this.seenAt(middle.right, middle.up);
    const size = this.laid.mmPerPx * this.view.pxPerMm;
    this.picture.style.transform =
      `translate(${at.x}px, ${at.y}px) rotate(${this.laid.turn}rad) scale(${size}) translate(${-this.natural.width / 2}px, ${-this.natural.height / 2}px)`;
  }

  private build(): void {
    const fade = (id: string, words: string, act: (share: number) => void): HTMLElement => {
      const slider = html('input', { type: 'range', id, min: '0', max: '1', step: '0.05', value: '1' });
      slider.addEventListener('input', () => act(Number(slider.value)));
      return html('label', { class: 'line' }, `${words} `, slider);
    };
    const outline = html('input', { type: 'checkbox', id: 'beneath-outline' });
    outline.addEventListener('change', () => this.view.setDress({ outline: outline.checked }));
    const set = html('button', { type: 'button', id: 'beneath-set' }, 'Bring to scale');
    set.addEventListener('click', () => this.scale());
    this.length.addEventListener('keydown', (event) => {
      if (event.key === 'Enter') this.scale();
    });
    const origin = html('button', { type: 'button', id: 'beneath-origin', title: 'Lays the first of the two points on the face of the front beam (or on the middle line) at rail' }, 'First point to beam and rail');
    origin.addEventListener('click', () => this.layOnOrigin());
    this.pointsButton.addEventListener('click', () => this.take(this.task === 'points' ? 'none' : 'points'));
    this.moveButton.addEventListener('click', () => this.take(this.task === 'move' ? 'none' : 'move'));
    this.chooser.addEventListener('change', () => {
      const file = this.chooser.files?.[0];
      if (file) void this.show(file);
    });
    this.rest.append(
      html('p', { class: 'line' }, this.pointsButton, this.moveButton),
      html('p', { class: 'line' }, html('label', {}, 'apart, full size ', this.length), set),
      html('label', {}, this.straight, ' line between them is level or upright'),
      html('p', { class: 'line' }, origin),
      fade('beneath-fade', 'Drawing', (share) => (this.picture.style.opacity = String(share))),
      fade('body-fade', 'Body', (share) => (this.canvas.style.opacity = String(share))),
      html('label', {}, outline, ' body in outline'),
    );
    this.tray.append(html('label', { class: 'line' }, 'Picture ', this.chooser), this.rest, this.note);
  }

  private say(words: string): void {
    if (this.note.textContent !== words) this.note.textContent = words;
  }

  private take(task: Task): void {
    this.task = task;
    this.pointsButton.setAttribute('aria-pressed', String(task === 'points'));
    this.moveButton.setAttribute('aria-pressed', String(task === 'move'));
    if (task === 'points') {
      this.points = [];
      const { width, height } = this.view.size;
      this.cross = { x: width / 2, y: height / 2 };
      this.say('Point at the first place on the drawing; by key: arrows and Enter.');
    }
    if (task === 'move') this.say('Draw the picture to its place; by key: arrows, with shift in larger steps.');
    this.place();
    if (task !== 'none') this.sheet.focus();
  }

  /** The middle of the picture in this view, made up where it was never laid. */
  private middle(): { right: number; up: number } | null {
    const name = this.view.currentView;
    if (name === 'turned' || name === 'isometric') return null;
    const known = this.middles.get(name);
    if (known) return known;
    const bounds = this.view.bounds();
    if (!bounds) return null;
    const centre = bounds.getCenter(new Vector3());
    const { right, up } = this.view.axes();
    const made = { right: centre.dot(right), up: centre.dot(up) };
    this.middles.set(name, made);
    return made;
  }

  /** Before it is brought to scale the picture is as wide as the body is long. */
  private layToFit(): void {
    const size = this.view.bounds()?.getSize(new Vector3()) ?? new Vector3(100, 100, 100);
    this.laid = { mmPerPx: Math.max(size.x, size.y, size.z) / this.natural.width, turn: 0 };
  }

  private seenAt(right: number, up: number): Spot {
    const axes = this.view.axes();
    return this.view.see(axes.right.multiplyScalar(right).addScaledVector(axes.up, up));
  }

  /** From the picture's own pixels to those of the view, and back. */
  private toView(spot: Spot): Spot {
    const middle = this.middle() ?? { right: 0, up: 0 };
    const at = this.seenAt(middle.right, middle.up);
    const size = this.laid.mmPerPx * this.view.pxPerMm;
    const [dx, dy] = [(spot.x - this.natural.width / 2) * size, (spot.y - this.natural.height / 2) * size];
    const [c, s] = [Math.cos(this.laid.turn), Math.sin(this.laid.turn)];
    return { x: at.x + c * dx - s * dy, y: at.y + s * dx + c * dy };
  }

  private toPicture(seen: Spot): Spot {
    const middle = this.middle() ?? { right: 0, up: 0 };
    const at = this.seenAt(middle.right, middle.up);
    const size = this.laid.mmPerPx * this.view.pxPerMm;
    const [dx, dy] = [(seen.x - at.x) / size, (seen.y - at.y) / size];
    const [c, s] = [Math.cos(this.laid.turn), Math.sin(this.laid.turn)];
    return { x: this.natural.width / 2 + c * dx + s * dy, y: this.natural.height / 2 - s * dx + c * dy };
  }

  private shift(dx: number, dy: number): void {
    const middle = this.middle();
    if (!middle) return;
    middle.right += dx / this.view.pxPerMm;
    middle.up -= dy / this.view.pxPerMm;
    this.place();
  }

  private setPoint(seen: Spot): void {
    if (this.points.length === 2) this.points = [];
    this.points.push(this.toPicture(seen));
    if (this.points.length === 1) this.say('And the second.');
    else {
      this.say('How far are they apart, full size? Feet and inches, or mm.');
      this.length.focus();
    }
    this.place();
  }

  private scale(): void {
    const [a, b] = this.points;
    const full_mm = readFullSize(this.length.value);
    if (!a || !b) return this.say('Set the two points first.');
    if (full_mm === null) return this.say('That is no length: write 8ft 0in, 96in or 2438 mm.');
    const laid = laidBy(a, b, (full_mm * this.desk.mmPerFoot()) / 304.8, this.straight.checked);
    if (!laid) return this.say('The two points lie on one another.');
    const before = this.toView(a);
    this.laid = laid;
    const after = this.toView(a);
    // The first point stays where it is seen.
    this.shift(before.x - after.x, before.y - after.y);
    this.take('none');
    const perMetre = this.natural.width * laid.mmPerPx;
    this.say(`To scale: the picture is ${mm(perMetre)} mm wide on the model, full size ${fullSize(perMetre, this.desk.mmPerFoot())}.`);
  }

  /** The body's own origin: front beam, middle line and rail, whichever two of them the view shows. */
  private layOnOrigin(): void {
    const [first] = this.points;
    if (!first) return this.say('Set the two points first: the first where beam or middle line meets the rail.');
    const from = this.toView(first);
    const to = this.seenAt(0, 0);
    this.shift(to.x - from.x, to.y - from.y);
    this.say('The first point lies on the front beam, or on the middle line, at rail.');
  }

  private marks(): SVGElement[] {
    const mark = (at: Spot, name: string): SVGElement => svg('path', { class: name, d: `M${at.x - 9} ${at.y}h18M${at.x} ${at.y - 9}v18` });
    const seen = this.points.map((spot) => this.toView(spot));
    const marks = seen.map((at) => mark(at, 'catch'));
    const [a, b] = seen;
    if (a && b) marks.push(svg('path', { class: 'measured', d: `M${a.x} ${a.y}L${b.x} ${b.y}` }));
    else marks.push(mark(this.cross, 'catch'));
    return marks;
  }

  private listen(): void {
    const at = (event: MouseEvent): Spot => {
      const box = this.sheet.getBoundingClientRect();
      return { x: event.clientX - box.left, y: event.clientY - box.top };
    };
    let from: Spot | null = null;
    this.sheet.addEventListener('pointerdown', (event) => {
      this.sheet.setPointerCapture(event.pointerId);
      from = at(event);
      if (this.task === 'points') this.setPoint(from);
    });
    this.sheet.addEventListener('pointermove', (event) => {
      const to = at(event);
      if (this.task === 'move' && from) this.shift(to.x - from.x, to.y - from.y);
      if (this.task === 'move' && from) from = to;
      if (this.task === 'points' && this.points.length < 2) {
        this.cross = to;
        this.place();
      }
    });
    for (const end of ['pointerup', 'pointercancel'] as const) this.sheet.addEventListener(end, () => (from = null));
    this.sheet.addEventListener('keydown', (event) => this.key(event));
    this.room.addEventListener('dragover', (event) => {
      if (event.dataTransfer?.types.includes('Files')) event.preventDefault();
    });
    this.room.addEventListener('drop', (event) => {
      const file = event.dataTransfer?.files[0];
      // A DXF is artwork, which another drawer takes.
      if (!file || /\.dxf$/i.test(file.name)) return;
      event.preventDefault();
      event.stopPropagation();
      this.room.dispatchEvent(new CustomEvent<File>('picture', { detail: file }));
    });
  }

  private key(event: KeyboardEvent): void {
    if (event.key === 'Escape') return this.take('none');
    if (event.key === 'Enter' && this.task === 'points') {
      event.preventDefault();
      return this.setPoint(this.cross);
    }
    const step = event.shiftKey ? FAR_PX : STEP_PX;
    const ways: Record<string, [number, number]> = { ArrowLeft: [-step, 0], ArrowRight: [step, 0], ArrowUp: [0, -step], ArrowDown: [0, step] };
    const way = ways[event.key];
    if (!way) return;
    event.preventDefault();
    if (this.task === 'move') return this.shift(...way);
    this.cross = { x: this.cross.x + way[0], y: this.cross.y + way[1] };
    this.place();
  }
}

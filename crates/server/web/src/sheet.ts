// The field of the sheet: how body, flat and their common centre line stand to one another, and what is written beside.

import { Vector3 } from 'three';
import type { Plate } from './api';
import type { BodyView } from './body-view';
import { CentreLine } from './centre-line';
import { scaleBar } from './dimension';
import { byId } from './dom';
import type { FlatView } from './flat-view';
import { clampLine, type FlatRoom } from './framing';
import { VIEWS, type ViewName } from './standard-views';

export class Sheet {
  private readonly centre = new CentreLine(byId<HTMLElement>('centre') as unknown as SVGSVGElement);
  private readonly bar = byId<HTMLElement>('body-bar') as unknown as SVGSVGElement;
  private quarterTurns: number | null = null;
  /** By which the flat is turned by hand on top of the view's own laying. */
  private extraTurns = 0;
  private hasFlat = false;
  /** The picked plate is a flat one that stands upright: up on its flat is up in every view. */
  private standing = false;

  constructor(
    private readonly body: BodyView | null,
    private readonly flat: FlatView,
    private readonly moved: () => void,
  ) {
    byId('turn-flat').addEventListener('click', () => {
      this.extraTurns = (this.extraTurns + 1) % 4;
      this.layFlat();
    });
  }

  setView(view: ViewName | 'turned'): void {
    byId('body-caption').textContent = view === 'turned' ? 'Body, turned by hand' : `Body: ${VIEWS[view].title.toLowerCase()}`;
    for (const button of document.querySelectorAll<HTMLButtonElement>('[data-view]')) {
      button.setAttribute('aria-pressed', String(button.dataset.view === view));
    }
    // A body turned by hand keeps its flat as it lay.
    if (view !== 'turned') {
      this.quarterTurns = VIEWS[view].quarterTurns;
      this.layFlat();
    }
    this.line();
  }

  /** Shows or hides what belongs to a plate: its flat, its notes, or the word that there is none. */
  setPlate(plate: Plate | null, title: string, hasFlat: boolean): void {
    const isPlate = plate !== null;
    this.hasFlat = hasFlat;
    const size = plate ? this.body?.boundsOf(plate.id)?.getSize(new Vector3()) : undefined;
    this.standing = plate?.formed === 'flat' && size !== undefined && size.z > Math.min(size.x, size.y);
    this.layFlat();
    const none = byId('flat-none');
    none.hidden = isPlate;
    none.textContent = title
      ? `${title} is a fitting, turned or cast: it has no flat.`
      : 'Pick a plate in the body or in the list of parts: its flat is set out here, on a common centre line.';
    byId('flat-tools').hidden = !hasFlat;
    const notes = byId('notes');
    notes.hidden = !isPlate;
    this.roomForTables();
  }

  /** The notes take room from the flat where they stand beside it, and none where they stand below. */
  private roomForTables(): void {
    const notes = byId('notes').getBoundingClientRect();
    const beside = notes.top < byId('flat-paper').getBoundingClientRect().bottom - 1;
    this.flat.setTablesWidth(beside ? Math.round(notes.width) : 0);
  }

  /** Lays the flat under the picked plate and draws the centre line through both. */
  line(): void {
    this.moved();
    this.drawBar();
    this.roomForTables();
    const field = byId('field').getBoundingClientRect();
    const upper = byId('body').getBoundingClientRect();
    const paper = byId('flat-paper').getBoundingClientRect();
    if (!this.hasFlat) {
      this.centre.hide();
      this.body?.setFlatRoom({ half: 0, taken: 0 });
      return;
    }
    const room: FlatRoom = { half: this.flat.halfWidth, taken: this.flat.tablesWidth };
    this.body?.setFlatRoom(room);
    const anchor = this.body?.anchor()?.x ?? upper.width / 2;
    const line = clampLine(anchor, upper.width, room);
    this.flat.setLine(line);
    const [top, middle, bottom] = [upper.top, upper.bottom, paper.bottom].map((y) => y - field.top);
    this.centre.draw(anchor, line + this.flat.aside, { top: top ?? 0, middle: middle ?? 0, bottom: bottom ?? 0 });
  }

  private layFlat(): void {
    this.flat.setLay(this.standing ? 0 : this.quarterTurns, this.extraTurns);
  }

  busy(on: boolean): void {
    byId('field').setAttribute('aria-busy', String(on));
  }

  outOfDate(on: boolean): void {
    byId('stamp').hidden = !on;
  }

  private drawBar(): void {
    if (!this.body?.hasBody) return;
    this.bar.replaceChildren(scaleBar(this.body.pxPerMm, 150));
  }
}

// The flat below: the picked plate as it lies on the sheet of metal, seen from its outside face, to a drawing scale.

import type { Flat, Hole, Place } from './api';
import { levelDimension, scaleBar, uprightDimension } from './dimension';
import { mm, svg, words } from './dom';
import { leaders, type Label } from './labels';
import { boundsOf, diameterOf, pathOf, toPixels, turned, type Bounds, type Layout } from './outline';

/** CSS fixes 96 px to the inch, so that a scale can be stated. */
export const PX_PER_PAPER_MM = 96 / 25.4;

/** ISO 5455 scales, the largest first. */
export const DRAWING_SCALES = [10, 5, 2, 1, 0.5, 0.2] as const;

export const scaleName = (ratio: number): string =>
  ratio >= 1 ? `${Math.round(ratio)} : 1` : `1 : ${Math.round(1 / ratio)}`;

/** Room (px) round the flat for its dimensions. */
const SIDE_PX = 62;
const TOP_PX = 36;
const BOTTOM_PX = 40;
const DIMENSION_OFF_PX = 26;

/** A place nearer to the edge of the picture (px) is brought in when it is to be seen. */
const REVEAL_PX = 24;

export interface FlatEvents {
  /** Something on the flat is under the pointer or in focus, told in words; empty when left. */
  named(text: string): void;
  chosen(text: string): void;
  /** The flat was laid out anew. */
  laidOut(): void;
  /** The flat was drawn, turned by so many quarter turns: what lies over it follows. */
  drawn(content: SVGGElement, layout: Layout, quarterTurns: number): void;
}

/** The point of an opening stands for the opening. */
const featureOfPoint = (name: string): string => (name.startsWith('hole:') ? name : `point:${name}`);

/** "Ø 8.33", or the extents of a hole that is not round. */
export function holeSize(hole: Hole): string {
  const diameter = diameterOf(hole.outline);
  if (diameter !== null) return `Ø ${mm(diameter)}`;
  const box = boundsOf(hole.outline);
  return `${mm(box.x1 - box.x0)} × ${mm(box.y1 - box.y0)}`;
}

export class FlatView {
  private flat: Flat | null = null;
  private title = '';
  /** As the view above asks, or nothing for the lay that is drawn larger; and by hand on top of it. */
  private wantedTurns: number | null = null;
  private extraTurns = 0;
  private quarterTurns = 0;
  private tables = 0;
  /** The chosen drawing scale, or nothing for the largest that fits. */
  private chosenRatio: number | null = null;
  private ratio = 1;
  private half = 0;
  private line = 0;
  private pan = { x: 0, y: 0 };
  private layout: Layout | null = null;
  private readonly content = svg('g');
  private readonly bar = svg('g');

  constructor(
    private readonly host: SVGSVGElement,
    private readonly events: FlatEvents,
  ) {
    host.append(this.content, this.bar);
    new ResizeObserver(() => this.lay()).observe(host.parentElement ?? host);
    this.listen();
  }

  /** Half the width (px) that the flat with its dimensions takes on either side of the centre line. */
  get halfWidth(): number {
    return this.half;
  }

  get drawnRatio(): number {
    return this.ratio;
  }

  /** How far the flat was drawn aside by hand (px). */
  get aside(): number {
    return this.pan.x;
  }

  /** Overall length and width of the flat (mm) in the axes of the plate. */
  size(): { length: number; width: number } | null {
    if (!this.flat) return null;
    const box = boundsOf(this.flat.outline);
    return { length: box.x1 - box.x0, width: box.y1 - box.y0 };
  }

  show(flat: Flat | null, title: string): void {
    if (flat?.plate !== this.flat?.plate) this.pan = { x: 0, y: 0 };
    this.flat = flat;
    this.title = title;
    this.lay();
  }

  /** What lies over the flat is another. */
  redraw(): void {
    this.lay();
  }

  /** Width (px) at the right-hand edge that the tables take from the flat. */
  get tablesWidth(): number {
    return this.tables;
  }

  setTablesWidth(px: number): void {
    if (px === this.tables) return;
    this.tables = px;
    this.lay();
  }

  setLay(wantedTurns: number | null, extraTurns: number): void {
    if (wantedTurns === this.wantedTurns && extraTurns === this.extraTurns) return;
    this.wantedTurns = wantedTurns;
    this.extraTurns = extraTurns;
    this.pan = { x: 0, y: 0 };
    this.lay();
  }

  setRatio(ratio: number | null): void {
    this.chosenRatio = ratio;
    this.pan = { x: 0, y: 0 };
    this.lay();
  }

  setLine(x: number): void {
    this.line = x;
    this.place();
  }

  private place(): void {
    this.content.setAttribute('transform', `translate(${this.line + this.pan.x} ${this.pan.y})`);
  }

  /** Brings a place of the flat (mm) into the picture where it is not seen. */
  reveal([x_mm, y_mm]: readonly [number, number]): void {
    if (!this.layout) return;
    const [x, y] = toPixels(this.layout, turned({ x_mm, y_mm }, this.quarterTurns));
    const { width, height } = this.room();
    const [seenX, seenY] = [x + this.line + this.pan.x, y + this.pan.y];
    const within = (at: number, room: number): boolean => at > REVEAL_PX && at < room - REVEAL_PX;
    if (within(seenX, width - this.tables) && within(seenY, height)) return;
    this.pan = { x: (width - this.tables) / 2 - x - this.line, y: height / 2 - y };
    this.place();
    this.events.laidOut();
  }

  private room(): { width: number; height: number } {
    const box = (this.host.parentElement ?? this.host).getBoundingClientRect();
    return { width: Math.max(1, Math.round(box.width)), height: Math.max(1, Math.round(box.height)) };
  }

  private lay(): void {
    const { width, height } = this.room();
    this.quarterTurns = this.extraTurns + (this.wantedTurns ?? this.largerLay(width, height));
    this.host.setAttribute('width', String(width));
    this.host.setAttribute('height', String(height));
    this.content.replaceChildren();
    this.bar.replaceChildren();
    this.half = 0;
    if (this.flat) this.draw(this.laid(this.flat), width, height);
    this.place();
    this.events.laidOut();
  }

  private fittingRatio(across: number, up: number, width: number, height: number): number {
    const fits = (ratio: number): boolean =>
      across * ratio * PX_PER_PAPER_MM + 2 * SIDE_PX <= width - this.tables &&
      up * ratio * PX_PER_PAPER_MM + TOP_PX + BOTTOM_PX <= height;
    return DRAWING_SCALES.find(fits) ?? DRAWING_SCALES[DRAWING_SCALES.length - 1] ?? 0.2;
  }

  private largerLay(width: number, height: number): number {
    const size = this.size();
    if (!size) return 0;
    const along = this.fittingRatio(size.length, size.width, width, height);
    const across = this.fittingRatio(size.width, size.length, width, height);
    return across > along ? 1 : 0;
  }

  /** The flat turned as it is laid. */
  private laid(flat: Flat): Flat {
    const turn = <P extends Place>(place: P): P => turned(place, this.quarterTurns);
    return {
      ...flat,
      outline: flat.outline.map(turn),
      holes: flat.holes.map((hole) => ({ ...hole, outline: hole.outline.map(turn) })),
      regions: flat.regions.map((region) => ({ ...region, outline: region.outline.map(turn) })),
      rivets: flat.rivets.map(turn),
      marks: flat.marks.map((mark) => ({ ...mark, from: turn(mark.from), to: turn(mark.to) })),
      points: flat.points.map(turn),
    };
  }

  private draw(flat: Flat, width: number, height: number): void {
    const box = boundsOf(flat.outline);
    const across = box.x1 - box.x0;
    const up = box.y1 - box.y0;
    this.ratio = this.chosenRatio ?? this.fittingRatio(across, up, width, height);
    const pxPerMm = this.ratio * PX_PER_PAPER_MM;
    this.half = (across * pxPerMm) / 2 + SIDE_PX;
    // The middle of the flat stands on the centre line, which is x = 0 here.
    const layout: Layout = {
      px_per_mm: pxPerMm,
      origin_x_px: (-pxPerMm * (box.x0 + box.x1)) / 2,
      origin_y_px: TOP_PX + (height - TOP_PX - BOTTOM_PX) / 2 + (pxPerMm * (box.y0 + box.y1)) / 2,
    };
    this.layout = layout;
    this.content.append(
      svg('path', { class: 'plate', d: pathOf(flat.outline, layout) }),
      this.regions(flat, layout),
      this.marks(flat, layout),
      this.rivets(flat, layout),
      this.holes(flat, layout),
      svg('path', { class: 'outline', d: pathOf(flat.outline, layout) }),
      this.centreLines(flat, box, layout),
      this.points(flat, layout),
    );
    this.dimensions(flat, box, layout, width);
    this.events.drawn(this.content, layout, this.quarterTurns);
    this.bar.append(scaleBar(pxPerMm, 150));
    this.bar.setAttribute('transform', `translate(14 ${height - 21})`);
    this.host.setAttribute('aria-label', this.summary());
  }

  private summary(): string {
    const size = this.size();
    if (!size) return 'No flat';
    return `Flat of ${this.title}, ${mm(size.length)} by ${mm(size.width)} mm, drawn ${scaleName(this.ratio)}`;
  }

  private regions(flat: Flat, layout: Layout): SVGGElement {
    const group = svg('g', { class: 'regions' });
    for (const region of flat.regions) {
      const title = `${words(region.purpose)} on the ${region.face}, from ${mm(region.z_low_mm)} to ${mm(region.z_high_mm)} mm off mid-sheet`;
      const path = svg('path', { class: `region ${region.purpose} ${region.face}`, d: pathOf(region.outline, layout) });
      path.append(svg('title', {}, title));
      group.append(path);
    }
    return group;
  }

  private marks(flat: Flat, layout: Layout): SVGGElement {
    const group = svg('g', { class: 'marks' });
    for (const mark of flat.marks) {
      const [x0, y0] = toPixels(layout, mark.from);
      const [x1, y1] = toPixels(layout, mark.to);
      group.append(svg('path', { d: `M${x0} ${y0}L${x1} ${y1}` }, svg('title', {}, words(mark.name))));
    }
    return group;
  }

  private rivets(flat: Flat, layout: Layout): SVGGElement {
    const group = svg('g', { class: 'rivets' });
    for (const rivet of flat.rivets) {
      const [cx, cy] = toPixels(layout, rivet);
      group.append(svg('circle', { cx, cy, r: Math.max((rivet.head_mm / 2) * layout.px_per_mm, 0.8) }));
    }
    return group;
  }

  private holes(flat: Flat, layout: Layout): SVGGElement {
    const group = svg('g', { class: 'holes' });
    for (const hole of flat.holes) {
      const text = `Hole ${words(hole.feature)}, ${holeSize(hole)} mm`;
      const path = svg('path', { class: 'hole', d: pathOf(hole.outline, layout), 'data-feature': `hole:${hole.feature}` });
      this.nameable(path, text);
      group.append(path);
    }
    return group;
  }

  private points(flat: Flat, layout: Layout): SVGGElement {
    const group = svg('g', { class: 'points' });
    // The table and the status line give places in the axes of the plate, however it is laid.
    const places = new Map(this.flat?.points.map((point) => [point.name, point]));
    for (const point of flat.points) {
      const [x, y] = toPixels(layout, point);
      const place = places.get(point.name) ?? point;
      const cross = svg('g', { class: 'point', 'data-feature': featureOfPoint(point.name) }, svg('circle', { cx: x, cy: y, r: 7 }));
      cross.append(svg('path', { d: `M${x - 4} ${y}h8M${x} ${y - 4}v8` }));
      this.nameable(cross, `Point ${words(point.name)}, at ${mm(place.x_mm)}, ${mm(place.y_mm)} mm`);
      group.append(cross);
    }
    return group;
  }

  private nameable(element: SVGElement, text: string): void {
    element.setAttribute('tabindex', '0');
    element.setAttribute('role', 'button');
    element.setAttribute('aria-label', text);
    element.append(svg('title', {}, text));
    element.addEventListener('pointerenter', () => this.events.named(text));
    element.addEventListener('pointerleave', () => this.events.named(''));
    element.addEventListener('focus', () => this.events.named(text));
    element.addEventListener('blur', () => this.events.named(''));
    const choose = (): void => {
      this.content.querySelectorAll('.chosen').forEach((other) => other.classList.remove('chosen'));
      element.classList.add('chosen');
      this.events.chosen(text);
    };
    element.addEventListener('click', choose);
    element.addEventListener('keydown', (event) => {
      if (event.key !== 'Enter' && event.key !== ' ') return;
      event.preventDefault();
      choose();
    });
  }

  /** The plate's own axis (of a wrapper: its crown) where it lies level, and the centres of round holes. */
  private centreLines(flat: Flat, box: Bounds, layout: Layout): SVGGElement {
    const group = svg('g', { class: 'centre-lines' });
    if (this.quarterTurns % 2 === 0 && box.y0 < 0 && box.y1 > 0) {
      const [left, axis] = toPixels(layout, { x_mm: box.x0, y_mm: 0 });
      const [right] = toPixels(layout, { x_mm: box.x1, y_mm: 0 });
      group.append(svg('path', { d: `M${left - 10} ${axis}H${right + 10}` }));
    }
    for (const hole of flat.holes) {
      const diameter = diameterOf(hole.outline);
      if (diameter === null) continue;
      const around = boundsOf(hole.outline);
      const [x, y] = toPixels(layout, { x_mm: (around.x0 + around.x1) / 2, y_mm: (around.y0 + around.y1) / 2 });
      const reach = (diameter / 2) * layout.px_per_mm + 5;
      group.append(svg('path', { d: `M${x - reach} ${y}h${2 * reach}M${x} ${y - reach}v${2 * reach}` }));
    }
    return group;
  }

  private dimensions(flat: Flat, box: Bounds, layout: Layout, width: number): void {
    const [x0, y1] = toPixels(layout, { x_mm: box.x0, y_mm: box.y0 });
    const [x1, y0] = toPixels(layout, { x_mm: box.x1, y_mm: box.y1 });
    this.content.append(
      levelDimension(x0, x1, y1, y1 + DIMENSION_OFF_PX, mm(box.x1 - box.x0)),
      uprightDimension(y0, y1, x0, x0 - DIMENSION_OFF_PX, mm(box.y1 - box.y0)),
    );
    const labels: Label[] = flat.holes.map((hole, k) => {
      const around = boundsOf(hole.outline);
      const [x, y] = toPixels(layout, { x_mm: (around.x0 + around.x1) / 2, y_mm: (around.y0 + around.y1) / 2 });
      // The size is told in the plate's own axes, as in the table.
      const text = holeSize(this.flat?.holes[k] ?? hole);
      return { text, x, y, reach: (Math.hypot(around.x1 - around.x0, around.y1 - around.y0) / 2 / Math.SQRT2) * layout.px_per_mm };
    });
    const room = { x: x0 - SIDE_PX + DIMENSION_OFF_PX, y: y0 - TOP_PX, width: Math.min(width, x1 - x0 + 2 * SIDE_PX), height: y1 - y0 + TOP_PX };
    // Figures keep off the outline's box and off the centre line at x = 0.
    const bar = (x: number, y: number, w: number, h: number) => ({ x: x - 1, y: y - 1, width: w + 2, height: h + 2 });
    const taken = [bar(x0, y0, x1 - x0, 0), bar(x0, y1, x1 - x0, 0), bar(x0, y0, 0, y1 - y0), bar(x1, y0, 0, y1 - y0)];
    for (const label of labels) {
      const half = label.reach * Math.SQRT1_2;
      taken.push(bar(label.x - half, label.y - half, 2 * half, 2 * half));
    }
    labels.sort((a, b) => b.reach - a.reach);
    this.content.append(leaders(labels, room, taken, [bar(0, y0, 0, y1 - y0)]));
  }

  private listen(): void {
    let from: { x: number; y: number } | null = null;
    const step = (dx: number, dy: number): void => {
      this.pan = { x: this.pan.x + dx, y: this.pan.y + dy };
      this.place();
      this.events.laidOut();
    };
    this.host.addEventListener('pointerdown', (event) => {
      if (event.button === 0 && this.flat) from = { x: event.clientX, y: event.clientY };
    });
    this.host.addEventListener('pointermove', (event) => {
      if (!from || event.buttons === 0) return;
      step(event.clientX - from.x, event.clientY - from.y);
      from = { x: event.clientX, y: event.clientY };
    });
    for (const end of ['pointerup', 'pointerleave', 'pointercancel'] as const) {
      this.host.addEventListener(end, () => (from = null));
    }
    this.host.addEventListener('keydown', (event) => {
      const far = 24;
      const steps: Record<string, [number, number]> = {
        ArrowLeft: [far, 0],
        ArrowRight: [-far, 0],
        ArrowUp: [0, far],
        ArrowDown: [0, -far],
      };
      const move = steps[event.key];
      if (!move || event.target !== this.host) return;
      event.preventDefault();
      step(...move);
    });
  }
}

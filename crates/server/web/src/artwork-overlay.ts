// A drawing laid over the flat: what is drawn in colour over what is meant, with the deviation drawn large.

import type { Flat, Place } from './api';
import type { PlateDrawn } from './artwork-api';
import { deviations, enlarged, worstOf, type Deviation, type Point } from './deviation';
import { mm, svg } from './dom';
import { toPixels, turned, type Layout } from './outline';

/** So many times as large a deviation may be drawn. */
export const TIMES = [1, 5, 10, 25] as const;

/** What is drawn off by less has no figure (mm). */
const SOUND_MM = 0.02;

const MOST_FIGURES = 8;

export class ArtworkOverlay {
  private last: { flat: Flat; drawn: PlateDrawn; all: Deviation[] } | null = null;

  draw(flat: Flat, drawn: PlateDrawn, layout: Layout, quarterTurns: number, times: number): SVGGElement {
    const all = this.deviationsOf(flat, drawn);
    const to = (p: Point): [number, number] => toPixels(layout, turned<Place>({ x_mm: p[0], y_mm: p[1] }, quarterTurns));
    const group = svg('g', { class: 'as-drawn', role: 'img', 'aria-label': this.words(drawn) });
    const path = all.map((own, k) => `${k === 0 ? 'M' : 'L'}${to(enlarged(own, times)).map((x) => x.toFixed(2)).join(' ')}`).join('');
    if (path) group.append(svg('path', { class: 'drawn-line', d: `${path}Z` }));
    const rays = all.filter((own, k) => own.off_mm > SOUND_MM && k % 3 === 0);
    group.append(svg('path', { class: 'drawn-rays', d: rays.map((own) => `M${to(own.meant).join(' ')}L${to(enlarged(own, times)).join(' ')}`).join('') }));
    for (const hole of drawn.holes) this.hole(group, hole, to, layout, times);
    for (const extra of drawn.extra) this.circle(group, 'drawn-extra', to(extra.at_mm), (extra.size_mm / 2) * layout.px_per_mm, 'not meant');
    const span = 60 / layout.px_per_mm;
    for (const own of worstOf(all, MOST_FIGURES, span, SOUND_MM)) this.figure(group, own, to, times);
    return group;
  }

  private deviationsOf(flat: Flat, drawn: PlateDrawn): Deviation[] {
    if (this.last?.flat !== flat || this.last.drawn !== drawn) this.last = { flat, drawn, all: deviations(flat.outline, drawn.drawn_outline_mm) };
    return this.last.all;
  }

  private words(drawn: PlateDrawn): string {
    const holes = Math.max(0, ...drawn.holes.map((hole) => hole.off_mm));
    return `As drawn: outline off by up to ${mm(drawn.worst_deviation_mm)} mm, openings by up to ${mm(holes)} mm`;
  }

  private hole(group: SVGGElement, hole: PlateDrawn['holes'][number], to: (p: Point) => [number, number], layout: Layout, times: number): void {
    const at: Point = [hole.meant_mm[0] + (hole.drawn_mm[0] - hole.meant_mm[0]) * times, hole.meant_mm[1] + (hole.drawn_mm[1] - hole.meant_mm[1]) * times];
    const size = hole.meant_size_mm + (hole.drawn_size_mm - hole.meant_size_mm) * times;
    const wrong = hole.off_mm > SOUND_MM || Math.abs(hole.drawn_size_mm - hole.meant_size_mm) > SOUND_MM;
    const text = wrong ? [hole.off_mm > SOUND_MM ? `off ${mm(hole.off_mm)}` : '', `size ${mm(hole.drawn_size_mm)} for ${mm(hole.meant_size_mm)}`].filter(Boolean).join(', ') : '';
    this.circle(group, wrong ? 'drawn-hole wrong' : 'drawn-hole', to(at), Math.max((size / 2) * layout.px_per_mm, 1), text);
  }

  private circle(group: SVGGElement, cls: string, [cx, cy]: [number, number], r: number, text: string): void {
    group.append(svg('circle', { class: cls, cx, cy, r }));
    if (text) group.append(svg('text', { class: 'drawn-figure', x: cx + r + 4, y: cy - 4 }, text));
  }

  private figure(group: SVGGElement, own: Deviation, to: (p: Point) => [number, number], times: number): void {
    const [x, y] = to(enlarged(own, times));
    const [mx, my] = to(own.meant);
    const length = Math.hypot(x - mx, y - my) || 1;
    const [dx, dy] = [(x - mx) / length, (y - my) / length];
    const text = svg('text', { class: dx < -0.3 ? 'drawn-figure before' : 'drawn-figure', x: x + dx * 6 + 3 * Math.sign(dx || 1), y: y + dy * 12 + 4 }, mm(own.off_mm));
    group.append(svg('circle', { class: 'drawn-place', cx: x, cy: y, r: 2.2 }), text);
  }
}

// Measuring between two features: they are caught at corners, centres and along edges, in the body or on the flat.

import { Vector3 } from 'three';
import type { Feature } from './api';
import type { BodyView, Pointed } from './body-view';
import type { Desk } from './desk';
import { html, mm, svg, words } from './dom';
import { BEHIND_MM, featureWords, point } from './features';
import { fullSize } from './full-size';
import { cased, type Ink } from './ink';

/** How near (px) the pointer catches a corner or centre, and a line. */
const CORNER_PX = 10;
const LINE_PX = 8;

/** One end of what is measured. */
export interface End {
  plate: string;
  feature: Feature | null;
  says: string;
  body: Vector3;
  /** On the plate's own flat, where it has one. */
  flat: [number, number] | null;
}

interface Caught {
  end: End;
  off: number;
}

const lerp = (a: readonly number[], b: readonly number[], share: number): number[] => a.map((x, k) => x + share * ((b[k] ?? 0) - x));

/** Corners and centres of a feature. */
function corners(plate: string, feature: Feature): End[] {
  const says = featureWords(feature);
  if (feature.at) {
    const centre = feature.kind === 'hole' ? `Centre of ${says.charAt(0).toLowerCase()}${says.slice(1)}` : says;
    return [{ plate, feature, says: centre, body: point(feature.at.body_mm), flat: feature.at.flat_mm }];
  }
  if (feature.kind !== 'edge') return [];
  return feature.runs.flatMap((run) =>
    [0, run.body_mm.length - 1].map((k) => ({
      plate, feature, says: `End of edge ${words(feature.name)}`, body: point(run.body_mm[k] ?? [0, 0, 0]), flat: run.flat_mm[k] ?? null,
    })),
  );
}

/** The place on the lines of a feature that lies nearest to a point of the flat (mm). */
export function onFlat(plate: string, feature: Feature, at: [number, number] | null): End | null {
  if (feature.at && (feature.kind !== 'hole' || at === null)) return corners(plate, feature)[0] ?? null;
  let best: { off: number; end: End } | null = null;
  for (const run of feature.runs) {
    const goal = at ?? run.flat_mm[Math.floor(run.flat_mm.length / 2)] ?? [0, 0];
    run.flat_mm.slice(1).forEach((b, k) => {
      const a = run.flat_mm[k] ?? b;
      const [dx, dy] = [b[0] - a[0], b[1] - a[1]];
      const square = dx * dx + dy * dy;
      const share = square > 0 ? Math.min(1, Math.max(0, ((goal[0] - a[0]) * dx + (goal[1] - a[1]) * dy) / square)) : 0;
      const flat: [number, number] = [a[0] + share * dx, a[1] + share * dy];
      const off = Math.hypot(flat[0] - goal[0], flat[1] - goal[1]);
      if (best && off >= best.off) return;
      const body = point(lerp(run.body_mm[k] ?? [0, 0, 0], run.body_mm[k + 1] ?? [0, 0, 0], share));
      best = { off, end: { plate, feature, says: featureWords(feature), body, flat } };
    });
  }
  return (best as { end: End } | null)?.end ?? corners(plate, feature)[0] ?? null;
}

/** What is caught under the pointer: a corner or centre before a line, and a line before the mere face. */
export function caught(view: BodyView, at: Pointed, features: Feature[], says: (id: string) => string): End | null {
  if (!at.part || !at.place) return null;
  const plate = at.part.id;
  const shift = at.part.object.position;
  let best: Caught | null = null;
  const offer = (end: End, limit: number): void => {
    const seen = view.see(end.body);
    // What lies behind the metal under the pointer is not meant.
    if (at.depth !== null && seen.depth > at.depth + BEHIND_MM) return;
    const off = Math.hypot(seen.x - at.x, seen.y - at.y);
    if (off <= limit && (!best || off < best.off)) best = { end, off };
  };
  const placed = (end: End): End => ({ ...end, body: end.body.clone().add(shift) });
  for (const feature of features) for (const end of corners(plate, feature)) offer(placed(end), CORNER_PX);
  if (best) return (best as Caught).end;
  for (const feature of features) {
    if (feature.kind !== 'edge' && feature.kind !== 'hole') continue;
    for (const run of feature.runs) {
      run.body_mm.slice(1).forEach((b, k) => {
        const from = point(run.body_mm[k] ?? b).add(shift);
        const to = point(b).add(shift);
        const [p, q] = [view.see(from), view.see(to)];
        const square = (q.x - p.x) ** 2 + (q.y - p.y) ** 2;
        const share = square > 0 ? Math.min(1, Math.max(0, ((at.x - p.x) * (q.x - p.x) + (at.y - p.y) * (q.y - p.y)) / square)) : 0;
        const flat = lerp(run.flat_mm[k] ?? [0, 0], run.flat_mm[k + 1] ?? [0, 0], share) as [number, number];
        offer({ plate, feature, says: featureWords(feature), body: from.lerp(to, share), flat }, LINE_PX);
      });
    }
  }
  return (best as Caught | null)?.end ?? { plate, feature: null, says: `Face of ${says(plate)}`, body: at.place.clone(), flat: null };
}

/** Least distance (mm) between two runs of points in space, with straight lines between them. */
export function nearest(a: number[][], b: number[][]): number {
  const toRun = (p: Vector3, run: number[][]): number => {
    if (run.length === 1) return p.distanceTo(point(run[0] ?? []));
    return run.slice(1).reduce((least, end, k) => {
      const start = point(run[k] ?? []);
      const along = point(end).sub(start);
      const square = along.lengthSq();
      const share = square > 0 ? Math.min(1, Math.max(0, p.clone().sub(start).dot(along) / square)) : 0;
      return Math.min(least, p.distanceTo(start.addScaledVector(along, share)));
    }, Infinity);
  };
  const least = (from: number[][], to: number[][]): number => from.reduce((so, p) => Math.min(so, toRun(point(p), to)), Infinity);
  return Math.min(least(a, b), least(b, a));
}

const runsOf = (feature: Feature): number[][][] =>
  feature.runs.length > 0 ? feature.runs.map((run) => run.body_mm) : feature.at ? [[feature.at.body_mm]] : [];

export class Measure {
  readonly tray = html('div');
  private ends: End[] = [];
  private over: End | null = null;
  private on = false;
  private readonly said = html('div', { id: 'measured', role: 'status', 'aria-live': 'polite' });

  constructor(
    private readonly ink: Ink,
    private readonly desk: Desk,
  ) {
    const again = html('button', { type: 'button', id: 'measure-again' }, 'Start again');
    again.addEventListener('click', () => this.clear());
    this.tray.append(this.said, again);
    this.show();
  }

  get inUse(): boolean {
    return this.on;
  }

  use(on: boolean): void {
    this.on = on;
    this.clear();
  }

  clear(): void {
    this.ends = [];
    this.over = null;
    this.show();
  }

  /** What the pointer would catch. */
  hover(end: End | null): void {
    this.over = end;
    this.show();
  }

  take(end: End): void {
    this.ends = this.ends.length === 2 ? [end] : [...this.ends, end];
    this.over = null;
    this.show();
  }

  private show(): void {
    const [a, b] = this.ends;
    const rows: [string, string][] = [
      ['From', a ? this.says(a) : 'point at a corner, centre or edge'],
      ['To', b ? this.says(b) : a ? 'and at another' : '–'],
    ];
    if (a && b) rows.push(...this.figures(a, b));
    this.said.replaceChildren(html('dl', {}, ...rows.flatMap(([name, figure]) => [html('dt', {}, name), html('dd', {}, figure)])));
    this.ink.set('measure', this.on ? (view) => this.lines(view) : null);
  }

  private says(end: End): string {
    return end.feature ? `${end.says}; ${this.desk.nameOf(end.plate)}` : end.says;
  }

  private both(length: number): string {
    return `${mm(length)} mm, full size ${fullSize(length, this.desk.mmPerFoot())}`;
  }

  private figures(a: End, b: End): [string, string][] {
    const by = b.body.clone().sub(a.body);
    const rows: [string, string][] = [['Straight', this.both(by.length())]];
    for (const [name, part] of [['Along', by.x], ['Across', by.y], ['Up', by.z]] as const) {
      if (Math.abs(part) > 0.005 && Math.abs(Math.abs(part) - by.length()) > 0.005) rows.push([name, this.both(Math.abs(part))]);
    }
    if (a.plate === b.plate && a.flat && b.flat) {
      const flat = Math.hypot(b.flat[0] - a.flat[0], b.flat[1] - a.flat[1]);
      rows.push(['On the flat', `${mm(flat)} mm`]);
    }
    if (a.feature && b.feature && a.feature !== b.feature && a.feature.kind !== 'bend' && b.feature.kind !== 'bend') {
      const runs = runsOf(b.feature);
      const least = Math.min(...runsOf(a.feature).flatMap((one) => runs.map((other) => nearest(one, other))));
      if (least < by.length() - 0.005) rows.push(['Nearest', this.both(least)]);
    }
    return rows;
  }

  private lines(view: BodyView): SVGElement[] {
    const [a, b] = this.ends;
    const marks = [...this.ends, ...(this.over ? [this.over] : [])].flatMap((end) => {
      const { x, y } = view.see(end.body);
      return cased('catch', 'path', { d: `M${x - 6} ${y}h12M${x} ${y - 6}v12` });
    });
    const to = b ?? this.over;
    if (!a || !to) return marks;
    const [p, q] = [view.see(a.body), view.see(to.body)];
    const length = a.body.distanceTo(to.body);
    const figure = `${mm(length)}  ${fullSize(length, this.desk.mmPerFoot())}`;
    return [
      ...cased('measured', 'path', { d: `M${p.x} ${p.y}L${q.x} ${q.y}` }),
      ...marks,
      svg('text', { x: (p.x + q.x) / 2 + 6, y: (p.y + q.y) / 2 - 6 }, figure),
    ];
  }
}

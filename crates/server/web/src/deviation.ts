// How far a drawn outline is off the meant one, point by point, and the drawn one again with that drawn large.

import type { Vertex } from './api';
import { arcBetween } from './outline';

export type Point = readonly [number, number];

/** Chords keep within this of arcs (mm). */
const CHORD_MM = 0.004;

/** The drawn outline is followed in steps of this (mm) at most. */
const STEP_MM = 0.5;

/** An outline of lines and arcs as points, the first not repeated. */
export function flattened(outline: Vertex[]): Point[] {
  return outline.flatMap((a, k): Point[] => {
    const b = outline[(k + 1) % outline.length] ?? a;
    const arc = arcBetween(a, b);
    if (!arc) return [[a.x_mm, a.y_mm]];
    const step = 2 * Math.acos(Math.max(0, 1 - CHORD_MM / arc.radius));
    const count = Math.max(1, Math.ceil(Math.abs(arc.sweep) / step));
    return Array.from({ length: count }, (_, i): Point => {
      const angle = arc.start + (arc.sweep * i) / count;
      return [arc.cx + arc.radius * Math.cos(angle), arc.cy + arc.radius * Math.sin(angle)];
    });
  });
}

/** A closed run of points with none farther apart than `step`. */
export function refined(points: Point[], step = STEP_MM): Point[] {
  return points.flatMap((a, k): Point[] => {
    const b = points[(k + 1) % points.length] ?? a;
    const count = Math.max(1, Math.ceil(Math.hypot(b[0] - a[0], b[1] - a[1]) / step));
    return Array.from({ length: count }, (_, i): Point => [a[0] + ((b[0] - a[0]) * i) / count, a[1] + ((b[1] - a[1]) * i) / count]);
  });
}

/** Lines that turn from one another by less than this run alike: 45°, given as its cosine. */
const ALIKE = Math.SQRT1_2;

/**
 * The nearest point of a closed run of lines, of those that run as `towards` does: near a corner the other side may be
 * nearer, and is not what was drawn. All lines count where none runs alike.
 */
export function nearest(points: Point[], p: Point, towards: Point | null = null): Point {
  let best: Point | null = null;
  let least = Infinity;
  const [tx, ty] = towards ?? [0, 0];
  const reach = Math.hypot(tx, ty);
  for (let k = 0; k < points.length; k += 1) {
    const a = points[k] as Point;
    const b = points[(k + 1) % points.length] as Point;
    const dx = b[0] - a[0];
    const dy = b[1] - a[1];
    const length = dx * dx + dy * dy;
    if (reach > 0 && Math.abs(dx * tx + dy * ty) < ALIKE * reach * Math.sqrt(length)) continue;
    const share = length === 0 ? 0 : Math.min(1, Math.max(0, ((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / length));
    const x = a[0] + share * dx;
    const y = a[1] + share * dy;
    const off = (x - p[0]) ** 2 + (y - p[1]) ** 2;
    if (off < least) {
      least = off;
      best = [x, y];
    }
  }
  return best ?? (reach > 0 ? nearest(points, p) : p);
}

export interface Deviation {
  /** On the meant outline. */
  meant: Point;
  drawn: Point;
  off_mm: number;
}

/** The drawn outline point by point, each with the place that it is meant to have. */
export function deviations(meant: Vertex[], drawn: Point[]): Deviation[] {
  const run = flattened(meant);
  const points = refined(drawn);
  return points.map((p, k) => {
    const next = points[(k + 1) % points.length] ?? p;
    const place = nearest(run, p, [next[0] - p[0], next[1] - p[1]]);
    return { meant: place, drawn: p, off_mm: Math.hypot(p[0] - place[0], p[1] - place[1]) };
  });
}

/** Where a drawn point lies when what it is off is drawn so many times as large. */
export function enlarged(own: Deviation, times: number): Point {
  return [own.meant[0] + (own.drawn[0] - own.meant[0]) * times, own.meant[1] + (own.drawn[1] - own.meant[1]) * times];
}

/** The places that are farthest off, each `apart` from those before it. */
export function worstOf(all: Deviation[], count: number, apart: number, least: number): Deviation[] {
  const worst: Deviation[] = [];
  for (const own of [...all].sort((a, b) => b.off_mm - a.off_mm)) {
    if (own.off_mm < least || worst.length === count) break;
    if (worst.every((other) => Math.hypot(other.meant[0] - own.meant[0], other.meant[1] - own.meant[1]) > apart)) worst.push(own);
  }
  return worst;
}

// Outlines of straight lines and arcs: bounds and paths. No drawing scale and no page here.

import type { Place, Vertex } from './api';

export interface Bounds {
  x0: number;
  y0: number;
  x1: number;
  y1: number;
}

export interface Arc {
  cx: number;
  cy: number;
  radius: number;
  /** Angle of the start point and signed sweep (rad), counter-clockwise positive. */
  start: number;
  sweep: number;
}

const STRAIGHT = 1e-9;

/** The arc from `a` to `b`, or nothing where the bulge of `a` says that the line is straight. */
export function arcBetween(a: Vertex, b: Place): Arc | null {
  const dx = b.x_mm - a.x_mm;
  const dy = b.y_mm - a.y_mm;
  const chord = Math.hypot(dx, dy);
  if (Math.abs(a.bulge) < STRAIGHT || chord === 0) return null;
  // The centre lies off the middle of the chord, to its left when the arc is less than half a circle and turns left.
  const off = (1 - a.bulge * a.bulge) / (4 * a.bulge);
  const cx = (a.x_mm + b.x_mm) / 2 - dy * off;
  const cy = (a.y_mm + b.y_mm) / 2 + dx * off;
  return {
    cx,
    cy,
    radius: (chord * (1 + a.bulge * a.bulge)) / (4 * Math.abs(a.bulge)),
    start: Math.atan2(a.y_mm - cy, a.x_mm - cx),
    sweep: 4 * Math.atan(a.bulge),
  };
}

const FULL = 2 * Math.PI;

function passes(arc: Arc, angle: number): boolean {
  const along = arc.sweep > 0 ? angle - arc.start : arc.start - angle;
  return ((along % FULL) + FULL) % FULL <= Math.abs(arc.sweep);
}

export function emptyBounds(): Bounds {
  return { x0: Infinity, y0: Infinity, x1: -Infinity, y1: -Infinity };
}

function include(bounds: Bounds, x: number, y: number): void {
  bounds.x0 = Math.min(bounds.x0, x);
  bounds.y0 = Math.min(bounds.y0, y);
  bounds.x1 = Math.max(bounds.x1, x);
  bounds.y1 = Math.max(bounds.y1, y);
}

/** Exact bounds of a closed outline: arcs count with the quarter points that they pass. */
export function boundsOf(outline: Vertex[]): Bounds {
  const bounds = emptyBounds();
  outline.forEach((a, k) => {
    const b = outline[(k + 1) % outline.length] ?? a;
    include(bounds, a.x_mm, a.y_mm);
    const arc = arcBetween(a, b);
    if (!arc) return;
    for (let quarter = 0; quarter < 4; quarter += 1) {
      const angle = (quarter * Math.PI) / 2;
      if (!passes(arc, angle)) continue;
      include(bounds, arc.cx + arc.radius * Math.cos(angle), arc.cy + arc.radius * Math.sin(angle));
    }
  });
  return bounds;
}

/** The diameter when the whole outline is one circle to 0.1 µm, else nothing. */
export function diameterOf(outline: Vertex[]): number | null {
  let first: Arc | null = null;
  for (const [k, a] of outline.entries()) {
    const arc = arcBetween(a, outline[(k + 1) % outline.length] ?? a);
    if (!arc) return null;
    first ??= arc;
    if (Math.hypot(arc.cx - first.cx, arc.cy - first.cy) > 1e-4 || Math.abs(arc.radius - first.radius) > 1e-4) return null;
  }
  return first ? 2 * first.radius : null;
}

/** Turns by quarter turns counter-clockwise about the origin; bulges keep. */
export function turned<P extends Place>(place: P, quarterTurns: number): P {
  const { x_mm: x, y_mm: y } = place;
  switch (((quarterTurns % 4) + 4) % 4) {
    case 1:
      return { ...place, x_mm: -y, y_mm: x };
    case 2:
      return { ...place, x_mm: -x, y_mm: -y };
    case 3:
      return { ...place, x_mm: y, y_mm: -x };
    default:
      return place;
  }
}

/** Millimetres with y up to pixels with y down. */
export interface Layout {
  px_per_mm: number;
  origin_x_px: number;
  origin_y_px: number;
}

export function toPixels(layout: Layout, place: Place): [number, number] {
  return [layout.origin_x_px + place.x_mm * layout.px_per_mm, layout.origin_y_px - place.y_mm * layout.px_per_mm];
}

const short = (value: number): string => value.toFixed(2);

/** The closed outline as path data of SVG. */
export function pathOf(outline: Vertex[], layout: Layout): string {
  const steps = outline.map((a, k) => {
    const b = outline[(k + 1) % outline.length] ?? a;
    const [x, y] = toPixels(layout, b);
    const arc = arcBetween(a, b);
    if (!arc) return `L${short(x)} ${short(y)}`;
    const r = short(arc.radius * layout.px_per_mm);
    const large = Math.abs(arc.sweep) > Math.PI ? 1 : 0;
    return `A${r} ${r} 0 ${large} ${arc.sweep > 0 ? 0 : 1} ${short(x)} ${short(y)}`;
  });
  const start = outline[0];
  if (!start) return '';
  const [x, y] = toPixels(layout, start);
  return `M${short(x)} ${short(y)}${steps.join('')}Z`;
}

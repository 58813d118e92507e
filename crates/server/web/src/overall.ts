// Overall dimensions on the standard views, on the model and full size, of the body and of the picked plate.

import { Box3, Vector3 } from 'three';
import type { BodyView } from './body-view';
import { levelDimension, uprightDimension } from './dimension';
import { mm, svg } from './dom';
import { fullSize } from './full-size';

const OFF_PX = 20;
const ROW_PX = 22;

/** Extents of a box as it is seen (px), and what they measure (mm). */
function seen(view: BodyView, box: Box3): { x0: number; x1: number; y0: number; y1: number; across: number; up: number } {
  const { right, up } = view.axes();
  const corners = [0, 1, 2, 3, 4, 5, 6, 7].map(
    (k) => new Vector3(k & 1 ? box.max.x : box.min.x, k & 2 ? box.max.y : box.min.y, k & 4 ? box.max.z : box.min.z),
  );
  const places = corners.map((corner) => view.see(corner));
  const range = (values: number[]): number => Math.max(...values) - Math.min(...values);
  return {
    x0: Math.min(...places.map((place) => place.x)),
    x1: Math.max(...places.map((place) => place.x)),
    y0: Math.min(...places.map((place) => place.y)),
    y1: Math.max(...places.map((place) => place.y)),
    across: range(corners.map((corner) => corner.dot(right))),
    up: range(corners.map((corner) => corner.dot(up))),
  };
}

/** Room (px) that dimension lines take round the body. */
export const OVERALL_PX = 66;

/** No centre line runs here, so the figure stands in the middle of its line. */
function centred(dimension: SVGGElement): SVGGElement {
  const figure = dimension.querySelector('text.before');
  figure?.setAttribute('class', 'middle');
  figure?.setAttribute('x', String(Number(figure.getAttribute('x')) + 5));
  return dimension;
}

/** Dimension lines of the body below and on the left, of the plate above and on the right. Heights are from rail. */
export function overall(view: BodyView, plate: Box3 | null, mmPerFoot: number): SVGElement[] {
  const name = view.currentView;
  const bounds = view.bounds();
  if (!bounds || name === 'turned' || name === 'isometric') return [];
  const figure = (length: number): string => `${fullSize(length, mmPerFoot)}  (${mm(length)})`;
  const elevation = name !== 'plan';
  const whole = bounds.clone();
  if (elevation) whole.min.z = 0;
  const body = seen(view, whole);
  const drawn = [
    levelDimension(body.x0, body.x1, body.y1, body.y1 + OFF_PX, figure(body.across)),
    uprightDimension(body.y0, body.y1, body.x0, body.x0 - OFF_PX, figure(body.up)),
  ];
  const rail = svg('g', { class: 'dimension' });
  if (elevation) {
    rail.append(svg('path', { d: `M${body.x0 - OFF_PX - 8} ${body.y1}H${body.x1 + OFF_PX + 8}` }));
    rail.append(svg('text', { x: body.x1 + 6, y: body.y1 - 3 }, 'rail'));
  }
  if (!plate) return [rail, ...drawn.map(centred)];
  const own = seen(view, plate);
  drawn.push(levelDimension(own.x0, own.x1, own.y0, body.y0 - OFF_PX + 4, figure(own.across)));
  drawn.push(uprightDimension(own.y0, own.y1, own.x1, body.x1 + OFF_PX, figure(own.up)));
  if (elevation && plate.min.z > 0.005) {
    const { y } = view.see(new Vector3(plate.min.x, plate.min.y, plate.min.z));
    drawn.push(uprightDimension(y, body.y1, own.x1, body.x1 + OFF_PX + ROW_PX, figure(plate.min.z)));
  }
  return [rail, ...drawn.map(centred)];
}

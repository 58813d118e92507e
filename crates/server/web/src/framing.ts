// How large the body is drawn and where it stands, so that a plate and its flat can share one centre line.

import { Vector3, type Box3, type Camera } from 'three';

export interface Room {
  width: number;
  height: number;
  flat: FlatRoom;
  margins: Margins;
}

/** Room left free (px) all round the body, and beyond that on the right. */
export interface Margins {
  round: number;
  right: number;
}

/** What the flat below asks of the place of the common centre line (px). */
export interface FlatRoom {
  /** Half the width that the flat needs on either side of the line. */
  half: number;
  /** Width at the right-hand edge that is taken by tables. */
  taken: number;
}

/** The place of the centre line nearest to the wanted one at which the flat has room. */
export function clampLine(wanted: number, width: number, flat: FlatRoom): number {
  const free = Math.max(width - flat.taken, 1);
  const half = Math.min(flat.half, free / 2);
  return Math.min(Math.max(wanted, half), free - half);
}

export interface Framed {
  pxPerMm: number;
  /** How far the body moves right and down (px) from standing with its middle in the middle of the picture. */
  shiftX: number;
  shiftY: number;
}

export const MARGIN_PX = 34;

/** Extents of boxes along a direction, measured from the origin of the body. */
function extent(boxes: Box3[], direction: Vector3): [number, number] {
  let low = Infinity;
  let high = -Infinity;
  const middle = new Vector3();
  const size = new Vector3();
  for (const box of boxes) {
    box.getCenter(middle);
    box.getSize(size);
    const reach = (Math.abs(direction.x) * size.x + Math.abs(direction.y) * size.y + Math.abs(direction.z) * size.z) / 2;
    low = Math.min(low, direction.dot(middle) - reach);
    high = Math.max(high, direction.dot(middle) + reach);
  }
  return [low, high];
}

/** The largest drawing of all boxes in which the anchor stands where the flat has room below it; or one to a fixed scale. */
export function frame(camera: Camera, boxes: Box3[], anchor: Vector3 | null, room: Room, fixed: number | null = null): Framed {
  const right = new Vector3().setFromMatrixColumn(camera.matrixWorld, 0);
  const up = new Vector3().setFromMatrixColumn(camera.matrixWorld, 1);
  const [left, far] = extent(boxes, right);
  const [low, high] = extent(boxes, up);
  const { round } = room.margins;
  // At least half of the picture is the body's.
  const free = room.width - Math.min(room.margins.right, room.width / 2);
  const wide = Math.max(free - 2 * round, 20);
  const tall = Math.max(room.height - 2 * round, 20);
  let pxPerMm = fixed ?? Math.min(wide / Math.max(far - left, 1e-3), tall / Math.max(high - low, 1e-3));
  const middle = (left + far) / 2;
  const height = (low + high) / 2;
  const target: Vector3 = new Vector3().copy(camera.position);
  // The eye looks at the middle of all boxes together, which need not be the middle of what is seen.
  const offX = right.dot(target) - middle;
  const offY = height - up.dot(target);
  if (!anchor) return { pxPerMm, shiftX: offX * pxPerMm - (room.width - free) / 2, shiftY: offY * pxPerMm };

  const at = right.dot(anchor);
  const line = clampLine(free / 2 + (at - middle) * pxPerMm, room.width, room.flat);
  // With the line moved, the longer arm of the body decides.
  if (fixed === null && at - left > 1e-3) pxPerMm = Math.min(pxPerMm, (line - round) / (at - left));
  if (fixed === null && far - at > 1e-3) pxPerMm = Math.min(pxPerMm, (free - round - line) / (far - at));
  pxPerMm = Math.max(pxPerMm, 1e-3);
  const shiftX = line - (room.width / 2 + (at - middle) * pxPerMm) + offX * pxPerMm;
  return { pxPerMm, shiftX, shiftY: offY * pxPerMm };
}

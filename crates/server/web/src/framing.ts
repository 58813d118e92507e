// How large the body is drawn and where it stands, so that a plate and its flat can share one centre line.

import { Vector3, type Box3, type Camera } from 'three';

export interface Room {
  width: number;
  height: number;
  /** Half the width (px) that the flat below needs on either side of the centre line. */
  flatHalfWidth: number;
}

export interface Framed {
  pxPerMm: number;
  /** How far the body moves right and down (px) from standing with its middle in the middle of the picture. */
  shiftX: number;
  shiftY: number;
}

const MARGIN_PX = 34;

/** Extents of a box along a direction, measured from the origin of the direction. */
function extent(box: Box3, direction: Vector3): [number, number] {
  let low = Infinity;
  let high = -Infinity;
  for (const x of [box.min.x, box.max.x]) {
    for (const y of [box.min.y, box.max.y]) {
      for (const z of [box.min.z, box.max.z]) {
        const along = direction.dot(new Vector3(x, y, z));
        low = Math.min(low, along);
        high = Math.max(high, along);
      }
    }
  }
  return [low, high];
}

/** The largest drawing of the box in which the anchor stands where the flat has room below it. */
export function frame(camera: Camera, bounds: Box3, anchor: Vector3 | null, room: Room): Framed {
  const right = new Vector3().setFromMatrixColumn(camera.matrixWorld, 0);
  const up = new Vector3().setFromMatrixColumn(camera.matrixWorld, 1);
  const [left, far] = extent(bounds, right);
  const [low, high] = extent(bounds, up);
  const wide = Math.max(room.width - 2 * MARGIN_PX, 20);
  const tall = Math.max(room.height - 2 * MARGIN_PX, 20);
  let pxPerMm = Math.min(wide / Math.max(far - left, 1e-3), tall / Math.max(high - low, 1e-3));
  if (!anchor) return { pxPerMm, shiftX: 0, shiftY: 0 };

  const at = right.dot(anchor);
  const middle = (left + far) / 2;
  const needed = Math.min(room.flatHalfWidth, room.width / 2);
  const line = Math.min(Math.max(room.width / 2 + (at - middle) * pxPerMm, needed), room.width - needed);
  // With the line moved, the longer arm of the body decides.
  if (at - left > 1e-3) pxPerMm = Math.min(pxPerMm, (line - MARGIN_PX) / (at - left));
  if (far - at > 1e-3) pxPerMm = Math.min(pxPerMm, (room.width - MARGIN_PX - line) / (far - at));
  pxPerMm = Math.max(pxPerMm, 1e-3);
  return { pxPerMm, shiftX: line - (room.width / 2 + (at - middle) * pxPerMm), shiftY: 0 };
}

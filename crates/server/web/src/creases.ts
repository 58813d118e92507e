// Ink lines of a mesh: edges at which its facets meet at more than an angle, or end.
//
// The drawing library has the same by another way, which writes every corner as a text; here corners are told by their
// bits, which takes a tenth of the time. Corners of one place have the same bits: they come from one mesh.

import { BufferAttribute, BufferGeometry } from 'three';

const EMPTY = -1;

/** A power of two with room to spare. */
function roomFor(count: number): number {
  let size = 16;
  while (size < count * 2) size *= 2;
  return size;
}

const mixed = (hash: number): number => {
  const once = Math.imul(hash ^ (hash >>> 15), 0x2c1b3c6d);
  return (once ^ (once >>> 13)) >>> 0;
};

/** For each vertex the first one at the same place. */
export function firstAtPlace(positions: Float32Array): Int32Array {
  const count = positions.length / 3;
  const bits = new Int32Array(positions.buffer, positions.byteOffset, positions.length);
  const mask = roomFor(count) - 1;
  const table = new Int32Array(mask + 1).fill(EMPTY);
  const first = new Int32Array(count);
  // Nought has two ways to be written.
  for (let k = 0; k < positions.length; k += 1) if (positions[k] === 0) positions[k] = 0;
  for (let v = 0; v < count; v += 1) {
    const x = bits[3 * v] as number;
    const y = bits[3 * v + 1] as number;
    const z = bits[3 * v + 2] as number;
    let at = mixed(Math.imul(x, 73856093) ^ Math.imul(y, 19349663) ^ Math.imul(z, 83492791)) & mask;
    for (;;) {
      const other = table[at] as number;
      if (other === EMPTY) {
        table[at] = v;
        first[v] = v;
        break;
      }
      if (bits[3 * other] === x && bits[3 * other + 1] === y && bits[3 * other + 2] === z) {
        first[v] = other;
        break;
      }
      at = (at + 1) & mask;
    }
  }
  return first;
}

/** Unit normals of the facets; nought for one without area. */
function facetNormals(positions: Float32Array, corners: Int32Array): Float32Array {
  const normals = new Float32Array(corners.length);
  const p = (v: number, k: number): number => positions[3 * v + k] as number;
  for (let t = 0; t < corners.length; t += 3) {
    const a = corners[t] as number;
    const b = corners[t + 1] as number;
    const c = corners[t + 2] as number;
    const ux = p(b, 0) - p(a, 0);
    const uy = p(b, 1) - p(a, 1);
    const uz = p(b, 2) - p(a, 2);
    const vx = p(c, 0) - p(a, 0);
    const vy = p(c, 1) - p(a, 1);
    const vz = p(c, 2) - p(a, 2);
    const nx = uy * vz - uz * vy;
    const ny = uz * vx - ux * vz;
    const nz = ux * vy - uy * vx;
    const length = Math.hypot(nx, ny, nz) || 1;
    normals[t] = nx / length;
    normals[t + 1] = ny / length;
    normals[t + 2] = nz / length;
  }
  return normals;
}

export function creaseLines(geometry: BufferGeometry, degrees: number): BufferGeometry {
  const positions = geometry.getAttribute('position').array as Float32Array;
  const first = firstAtPlace(positions);
  const index = geometry.getIndex()?.array;
  const corners = new Int32Array(index ? index.length : first.length);
  for (let k = 0; k < corners.length; k += 1) corners[k] = first[index ? (index[k] as number) : k] as number;
  const normals = facetNormals(positions, corners);
  const limit = Math.cos((degrees * Math.PI) / 180);
  const mask = roomFor(corners.length) - 1;
  // An edge waits here with its facet until the other facet comes by.
  const low = new Int32Array(mask + 1).fill(EMPTY);
  const high = new Int32Array(mask + 1);
  const facet = new Int32Array(mask + 1);
  const lines: number[] = [];
  const draw = (a: number, b: number): void => {
    for (const v of [a, b]) lines.push(positions[3 * v] as number, positions[3 * v + 1] as number, positions[3 * v + 2] as number);
  };
  for (let t = 0; t < corners.length; t += 3) {
    for (let side = 0; side < 3; side += 1) {
      const from = corners[t + side] as number;
      const to = corners[t + ((side + 1) % 3)] as number;
      if (from === to) continue;
      const a = Math.min(from, to);
      const b = Math.max(from, to);
      let at = mixed(Math.imul(a, 73856093) ^ Math.imul(b, 19349663)) & mask;
      while (low[at] !== EMPTY && (low[at] !== a || high[at] !== b)) at = (at + 1) & mask;
      if (low[at] === EMPTY) {
        low[at] = a;
        high[at] = b;
        facet[at] = t;
        continue;
      }
      const other = facet[at] as number;
      // Met before, and by two already.
      if (other < 0) continue;
      facet[at] = EMPTY;
      const dot =
        (normals[t] as number) * (normals[other] as number) +
        (normals[t + 1] as number) * (normals[other + 1] as number) +
        (normals[t + 2] as number) * (normals[other + 2] as number);
      if (dot <= limit) draw(a, b);
    }
  }
  for (let at = 0; at <= mask; at += 1) if (low[at] !== EMPTY && (facet[at] as number) >= 0) draw(low[at] as number, high[at] as number);
  const found = new BufferGeometry();
  found.setAttribute('position', new BufferAttribute(new Float32Array(lines), 3));
  return found;
}

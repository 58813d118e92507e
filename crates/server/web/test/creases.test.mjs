// Ink lines against those of the drawing library. Run with `npm test`.

import assert from 'node:assert/strict';
import { after, test } from 'node:test';
import { BoxGeometry, CylinderGeometry, EdgesGeometry, PlaneGeometry, TorusGeometry } from 'three';
import { createServer } from 'vite';

const vite = await createServer({ server: { middlewareMode: true, ws: false }, appType: 'custom', logLevel: 'error' });
after(() => vite.close());
const { creaseLines } = await vite.ssrLoadModule('/src/creases.ts');

/** Corners of one place have the same bits, as in the meshes of the server. */
function exact(geometry) {
  const { array } = geometry.getAttribute('position');
  for (let k = 0; k < array.length; k += 1) array[k] = Math.round(array[k] * 1000) / 1000;
  return geometry;
}

/** Lines as sorted texts, so that their order and direction do not matter. */
function lines(geometry) {
  const { array } = geometry.getAttribute('position');
  const point = (k) => [0, 1, 2].map((i) => (array[3 * k + i] + 0).toFixed(4)).join(' ').replaceAll('-0.0000', '0.0000');
  return Array.from({ length: array.length / 6 }, (_, k) => [point(2 * k), point(2 * k + 1)].sort().join(' – ')).sort();
}

for (const [name, geometry] of [
  ['a box', new BoxGeometry(3, 2, 1, 4, 3, 2)],
  ['a tube', new CylinderGeometry(2, 2, 5, 8, 3, true)],
  ['a sheet', new PlaneGeometry(4, 3, 3, 3)],
  ['a ring', new TorusGeometry(3, 1, 6, 9)],
  ['facets apart', new BoxGeometry(3, 2, 1).toNonIndexed()],
]) {
  for (const degrees of [10, 32, 50]) {
    test(`${name} at ${degrees}°`, () => {
      exact(geometry);
      const wanted = lines(new EdgesGeometry(geometry, degrees));
      assert.deepEqual(lines(creaseLines(geometry, degrees)), wanted);
    });
  }
}

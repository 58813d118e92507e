// Drawn outlines against meant ones whose distance is known. Run with `npm test`.

import assert from 'node:assert/strict';
import { after, test } from 'node:test';
import { createServer } from 'vite';

const vite = await createServer({ server: { middlewareMode: true, ws: false }, appType: 'custom', logLevel: 'error' });
after(() => vite.close());
const { deviations, enlarged, flattened, worstOf } = await vite.ssrLoadModule('/src/deviation.ts');

const v = (x_mm, y_mm, bulge = 0) => ({ x_mm, y_mm, bulge });
const near = (found, wanted, within = 1e-9) => assert.ok(Math.abs(found - wanted) <= within, `${found} is not ${wanted}`);
const quarter = Math.tan(Math.PI / 8);
const circle = [v(5, 0, quarter), v(0, 5, quarter), v(-5, 0, quarter), v(0, -5, quarter)];

test('an arc is followed within its chords', () => {
  const points = flattened(circle);
  assert.ok(points.length > 40);
  for (const [x, y] of points) near(Math.hypot(x, y), 5);
});

test('a circle drawn too large is off by the same everywhere', () => {
  const drawn = Array.from({ length: 200 }, (_, k) => [5.2 * Math.cos((k * Math.PI) / 100), 5.2 * Math.sin((k * Math.PI) / 100)]);
  for (const own of deviations(circle, drawn)) {
    near(own.off_mm, 0.2, 0.006);
    const [x, y] = enlarged(own, 10);
    near(Math.hypot(x, y), 7, 0.06);
  }
});

test('the worst places are told once each', () => {
  const square = [v(0, 0), v(20, 0), v(20, 10), v(0, 10)];
  const drawn = [[0, 0], [20, 0], [20, 10.3], [0, 10.1]];
  const all = deviations(square, drawn);
  const worst = worstOf(all, 5, 15, 0.02);
  near(worst[0].off_mm, 0.3);
  assert.equal(worst.length, 2);
  near(worst[1].off_mm, 0.15, 0.06);
});

// Outlines against circles and rectangles whose measures are known. Run with `npm test`.

import assert from 'node:assert/strict';
import { test } from 'node:test';
import { load, near } from './vite.mjs';

const { arcBetween, boundsOf, diameterOf, pathOf, turned } = await load('/src/outline.ts');

const v = (x_mm, y_mm, bulge = 0) => ({ x_mm, y_mm, bulge });
/** A circle as `n` equal arcs that start at `turn`. */
const circle = (cx, cy, radius, n, turn, hand = 1) =>
  Array.from({ length: n }, (_, k) => {
    const angle = turn + (hand * 2 * Math.PI * k) / n;
    return v(cx + radius * Math.cos(angle), cy + radius * Math.sin(angle), hand * Math.tan(Math.PI / (2 * n)));
  });

test('arcs of a circle find its centre and radius, whatever their number, start and hand', () => {
  for (const n of [2, 3, 4, 7]) {
    for (const turn of [0, 0.3, 1.9, 4]) {
      for (const hand of [1, -1]) {
        const outline = circle(3, -2, 5, n, turn, hand);
        const arc = arcBetween(outline[0], outline[1]);
        near(arc.cx, 3);
        near(arc.cy, -2);
        near(arc.radius, 5);
        near(arc.sweep, (hand * 2 * Math.PI) / n);
        near(diameterOf(outline), 10);
        const box = boundsOf(outline);
        near(box.x0, -2);
        near(box.x1, 8);
        near(box.y0, -7);
        near(box.y1, 3);
      }
    }
  }
});

test('an arc of more than half a circle keeps to its own side', () => {
  // Three quarters of the unit circle from (1, 0) to (0, -1).
  const arc = arcBetween(v(1, 0, Math.tan((3 * Math.PI) / 8)), v(0, -1));
  near(arc.cx, 0);
  near(arc.cy, 0);
  near(arc.radius, 1);
  const box = boundsOf([v(1, 0, Math.tan((3 * Math.PI) / 8)), v(0, -1)]);
  near(box.x0, -1);
  near(box.y1, 1);
});

test('straight outlines have no diameter, and a slot has none either', () => {
  assert.equal(diameterOf([v(0, 0), v(2, 0), v(2, 1), v(0, 1)]), null);
  assert.equal(diameterOf([v(0, 0, 1), v(0, 2), v(-3, 2, 1), v(-3, 0)]), null);
});

test('four quarter turns bring back, and one turns counter-clockwise', () => {
  const place = v(3, 1, 0.2);
  assert.deepEqual(turned(place, 1), v(-1, 3, 0.2));
  for (const turns of [0, 4, 8, -4]) assert.deepEqual(turned(place, turns), place);
  assert.deepEqual(turned(turned(place, 1), 3), place);
  assert.deepEqual(turned(turned(place, 2), -2), place);
});

test('paths turn y over and keep the hand of arcs', () => {
  const layout = { px_per_mm: 2, origin_x_px: 10, origin_y_px: 20 };
  const path = pathOf([v(0, 0), v(4, 0, 1), v(4, 3)], layout);
  assert.equal(path, 'M10.00 20.00L18.00 20.00A3.00 3.00 0 0 0 18.00 14.00L10.00 20.00Z');
  assert.match(pathOf([v(0, 0, -1), v(2, 0)], layout), /A2\.00 2\.00 0 0 1 14\.00 20\.00/);
});

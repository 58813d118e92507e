// Distances between features, and a drawing brought to scale by two points.

import assert from 'node:assert/strict';
import { test } from 'node:test';
import { load, near } from './vite.mjs';

const { nearest, onFlat } = await load('/src/measure.ts');
const { laidBy } = await load('/src/beneath.ts');
const { insideOf } = await load('/src/features.ts');

test('lines come nearest between their ends too', () => {
  near(nearest([[0, 0, 0], [10, 0, 0]], [[5, 3, 0], [5, 9, 4]]), 3);
  near(nearest([[0, 0, 0]], [[3, 4, 0]]), 5);
  near(nearest([[0, 0, 0], [10, 0, 0]], [[4, -1, 2], [4, 1, 2]]), Math.hypot(1, 2));
});

test('a place on an edge has its place in the body', () => {
  const edge = { id: 'edge:front', kind: 'edge', name: 'front', runs: [{ flat_mm: [[0, 0], [4, 0], [8, 0]], body_mm: [[0, 0, 0], [0, 4, 0], [0, 4, 4]] }] };
  const end = onFlat('wrapper', edge, [6, 1]);
  assert.deepEqual(end.flat, [6, 0]);
  assert.deepEqual(end.body.toArray(), [0, 4, 2]);
});

test('two points give scale, and level the line between them', () => {
  const level = laidBy({ x: 0, y: 0 }, { x: 300, y: 40 }, 0.2 * Math.hypot(300, 40), true);
  near(level.mmPerPx, 0.2, 1e-6);
  near(level.turn, -Math.atan2(40, 300));
  const upright = laidBy({ x: 0, y: 0 }, { x: 5, y: 400 }, 100, true);
  near(upright.turn, Math.PI / 2 - Math.atan2(400, 5));
  near(laidBy({ x: 0, y: 0 }, { x: 5, y: 400 }, 100, false).turn, 0);
  assert.equal(laidBy({ x: 1, y: 1 }, { x: 1, y: 1 }, 100, true), null);
});

test('a ring holds what lies within', () => {
  const ring = [{ x: 0, y: 0 }, { x: 4, y: 0 }, { x: 4, y: 4 }, { x: 0, y: 4 }];
  assert.ok(insideOf(2, 2, ring));
  assert.ok(!insideOf(5, 2, ring));
});

// Full-size lengths as drawings write them.

import assert from 'node:assert/strict';
import { test } from 'node:test';
import { load, near } from './vite.mjs';

const { feetAndInches, fullSize, readFullSize } = await load('/src/full-size.ts');

test('feet and inches to the nearest sixteenth', () => {
  for (const [inches, words] of [
    [0, '0″'],
    [0.5, '½″'],
    [0.0625, '1/16″'],
    [7.1875, '7 3/16″'],
    [12, '1′ 0″'],
    [56.5, '4′ 8½″'],
    [11.99, '1′ 0″'],
    [-3.25, '−3¼″'],
    [247.8125, '20′ 7 13/16″'],
  ]) {
    assert.equal(feetAndInches(inches), words);
  }
});

test('a model length grows by the scale', () => {
  assert.equal(fullSize(7, 7), '1′ 0″');
  assert.equal(fullSize(18.8333333, 4), '4′ 8½″');
});

test('lengths are read in the ways that people write them', () => {
  for (const [text, mm] of [
    ['8ft 0in', 96 * 25.4],
    ['8 ft', 96 * 25.4],
    ["15' 6½\"", 186.5 * 25.4],
    ['15′ 6 1/2″', 186.5 * 25.4],
    ["4'-8 1/2\"", 56.5 * 25.4],
    ['56.5in', 56.5 * 25.4],
    ['3/4 in', 0.75 * 25.4],
    ['2438 mm', 2438],
    ['2,5 m', 2500],
    ['243.8cm', 2438],
  ]) {
    near(readFullSize(text), mm, 1e-6);
  }
  for (const text of ['', 'thirty', '56', '8 yards', '1/0 in', 'ft', 'in']) assert.equal(readFullSize(text), null, text);
});

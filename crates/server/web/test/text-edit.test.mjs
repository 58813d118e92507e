// Edits of the text, their history, and how values are written. Run with `npm test`.

import assert from 'node:assert/strict';
import { after, test } from 'node:test';
import { createServer } from 'vite';

const vite = await createServer({ server: { middlewareMode: true, ws: false }, appType: 'custom', logLevel: 'error' });
after(() => vite.close());
const { asToml, lineOf, shifted } = await vite.ssrLoadModule('/src/field.ts');
const { applied, difference, History } = await vite.ssrLoadModule('/src/text-edit.ts');

test('the difference of two texts turns one into the other', () => {
  for (const [from, to] of [['', 'a'], ['abc', 'abc'], ['abc', 'axc'], ['aaa', 'aa'], ['pitch = "7ft"', 'pitch = "7ft 5in"'], ['ab', 'ba']]) {
    const piece = difference(from, to);
    assert.equal(applied(from, piece), to);
  }
});

test('typing at one place is one step, and undo and redo go there and back', () => {
  const history = new History();
  let text = 'x = ""';
  const typed = (at, after, when, by = 'field x') => {
    const edit = { at, before: '', after, by, when };
    history.add(edit, text);
    text = applied(text, edit);
  };
  typed(5, '7', 0);
  typed(6, 'f', 100);
  typed(7, 't', 200);
  typed(8, ' 5in', 5000);
  const whole = text;
  text = applied(text, history.undo());
  assert.equal(text, 'x = "7ft"');
  text = applied(text, history.undo());
  assert.equal(text, 'x = ""');
  assert.equal(history.undo(), null);
  text = applied(text, history.redo());
  text = applied(text, history.redo());
  assert.equal(text, whole);
  assert.equal(history.redo(), null);
  typed(0, '# ', 9000, 'text');
  assert.equal(history.canRedo, false, 'a new edit ends what could be done again');
});

test('values are written as TOML', () => {
  assert.equal(asToml('length', '4ft 8 1/2in'), '"4ft 8 1/2in"');
  assert.equal(asToml('length', '4\'-8½"'), JSON.stringify('4\'-8½"'));
  assert.equal(asToml('length', '8½"'), "'8½\"'");
  assert.equal(asToml('number', ' 45 '), '45');
  assert.equal(asToml('text', 'a\\b'), '"a\\\\b"');
});

test('places move with the text before them', () => {
  const fields = [
    { at: { from: 10, to: 15 }, opening: null },
    { at: { from: 20, to: 25 }, opening: null },
    { at: null, opening: { at: 15 } },
  ];
  shifted(fields, 10, 5, 9);
  assert.deepEqual(fields[0].at, { from: 10, to: 19 });
  assert.deepEqual(fields[1].at, { from: 24, to: 29 });
  assert.equal(fields[2].opening.at, 19);
});

test('a key is taken away with its line, and only where the line is its own', () => {
  const text = '[a]\nx = "1in" # why\ny = { z = "2in", w = "3in" }\n';
  const at = (value) => ({ from: text.indexOf(value), to: text.indexOf(value) + value.length });
  assert.deepEqual(lineOf(text, at('"1in"')), { from: 4, to: 20 });
  assert.equal(lineOf(text, at('"2in"')), null);
});

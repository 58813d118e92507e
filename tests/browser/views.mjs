// The two views and the instruments, as steps that each assert what a designer would see.

import assert from 'node:assert/strict';
import { createRequire } from 'node:module';
import { readFile } from 'node:fs/promises';
import { gzipSync } from 'node:zlib';

const PX_PER_PAPER_MM = 96 / 25.4;
const WEIGHT_LIMIT = 400_000;

const axe = await readFile(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');

const near = (found, wanted, within, what) => assert.ok(Math.abs(found - wanted) <= within, `${what}: ${found}, wanted ${wanted} within ${within}`);

/** Millimetres in "123.45 mm, full size …". */
const millimetres = (words) => Number(words.match(/([\d.]+) mm/)?.[1]);

/** "5′ 3½″" and "7 3/16″" in inches. */
function inches(words) {
  const signs = { '½': 1 / 2, '¼': 1 / 4, '¾': 3 / 4, '⅛': 1 / 8, '⅜': 3 / 8, '⅝': 5 / 8, '⅞': 7 / 8 };
  const [, feet, whole, sign, above, below] = words.match(/(?:(\d+)′ )?(\d+)?(?:([½¼¾⅛⅜⅝⅞])| ?(\d+)\/(\d+))?″/);
  return 12 * Number(feet ?? 0) + Number(whole ?? 0) + (sign ? signs[sign] : 0) + (above ? Number(above) / Number(below) : 0);
}

async function use(walk, id, on = true) {
  const button = walk.page.locator(`#use-${id}`);
  if (((await button.getAttribute('aria-pressed')) === 'true') !== on) await button.click();
  await walk.still();
}

const lit = async (walk) => (await walk.state()).lit ?? '';
const litIs = (walk, id) => walk.page.waitForFunction((wanted) => document.documentElement.dataset.lit === wanted, id);

/** Middle of what is inked over the body (px of the window). */
async function middleOf(walk, selector) {
  const box = await walk.page.locator(selector).first().boundingBox();
  return { x: box.x + box.width / 2, y: box.y + box.height / 2, width: box.width, height: box.height };
}

async function features(walk, plate) {
  return (await walk.json(`plates/${plate}/features?scale=7mm`)).features;
}

async function openAt(walk, view = 'plan', plate) {
  const wanted = plate ?? (await walk.wrapper()).id;
  await walk.open(`model=${walk.model}&scale=7mm&plate=${wanted}&view=${view}`);
  await walk.page.waitForFunction(() => document.querySelector('#flat-drawing .touch'));
  return wanted;
}

async function linked(walk) {
  const { page } = walk;
  const plate = await openAt(walk);
  const all = await features(walk, plate);
  const kinds = [...new Set(all.map((feature) => feature.kind))];
  for (const kind of ['hole', 'edge', 'bend']) assert.ok(kinds.includes(kind), `${plate} has a ${kind}`);
  // From the flat to the body and back: a hole on the crown is seen from above, with its dome out of the way.
  await page.locator('input[name="show"][value="alone"]').check();
  await walk.still();
  const hole = all.find((feature) => feature.kind === 'hole');
  await page.locator(`#flat-drawing [data-feature="${hole.id}"]`).last().hover({ force: true });
  await litIs(walk, `${plate}/${hole.id}`);
  const place = await middleOf(walk, '#body-ink .lit-line');
  await walk.shoot('v1-lit-from-flat');
  await page.mouse.move(place.x, place.y + 200);
  await litIs(walk, '');
  await page.mouse.move(place.x, place.y);
  await litIs(walk, `${plate}/${hole.id}`);
  assert.ok((await page.locator('#flat-drawing .lit > *').count()) > 0, 'and lights on the flat');
  assert.match(await walk.text('#under-pointer'), /^Hole /);
  await walk.shoot('v1-lit-from-body');
  // Each kind can be had in both views; an edge and a bend are met wherever they are seen from above.
  const seen = { edge: 0, bend: 0 };
  for (const kind of Object.keys(seen)) {
    for (const feature of all.filter((own) => own.kind === kind).slice(0, 6)) {
      await page.locator(`#flat-drawing [data-feature="${feature.id}"]`).focus();
      await litIs(walk, `${plate}/${feature.id}`);
      const places = await page.locator('#body-ink .lit-line').first().evaluate((line) =>
        [0.5, 0.46, 0.42, 0.54].map((share) => {
          const point = (line.getTotalLength ? line.getPointAtLength(line.getTotalLength() * share) : new DOMPoint()).matrixTransform(line.getScreenCTM());
          return { x: point.x, y: point.y };
        }),
      );
      for (const at of places) {
        await page.mouse.move(at.x, at.y);
        await page.waitForTimeout(60);
        if ((await lit(walk)) !== `${plate}/${feature.id}`) continue;
        seen[kind] += 1;
        break;
      }
      if (seen[kind] > 0) break;
    }
  }
  assert.ok(seen.edge > 0, 'an edge lights from the body');
  assert.ok(seen.bend > 0 || all.every((own) => own.kind !== 'bend'), 'a bend lights from the body');
  await rivetsLight(walk);
  // By key, without the mouse.
  await page.mouse.move(5, 5);
  await page.locator('#body-canvas').focus();
  await page.keyboard.press('.');
  const first = await lit(walk);
  await page.keyboard.press('.');
  const second = await lit(walk);
  assert.ok(first && second && first !== second, 'full stop steps from feature to feature');
  await page.keyboard.press(',');
  assert.equal(await lit(walk), first, 'comma steps back');
  assert.ok((await walk.text('#status')).length > 0);
  await page.locator('input[name="show"][value="all"]').check();
}

/** A rivet, on a plate that has rivets: those of a flat one are seen square on. */
async function rivetsLight(walk) {
  const { page } = walk;
  const { plates } = await walk.json('plates?scale=7mm');
  const riveted = plates.find((plate) => plate.rivets > 0);
  if (!riveted) return;
  await walk.pickInList(riveted.id);
  await page.waitForFunction(() => document.querySelector('#flat-drawing .touch circle'));
  const rivets = (await features(walk, riveted.id)).filter((own) => own.kind === 'rivet');
  for (const view of ['side', 'front', 'plan', 'rear']) {
    await page.locator(`[data-view="${view}"]`).click();
    await walk.still();
    for (const rivet of rivets.slice(0, 3)) {
      await page.locator(`#flat-drawing [data-feature="${rivet.id}"]`).hover({ force: true });
      await litIs(walk, `${riveted.id}/${rivet.id}`);
      const at = await middleOf(walk, '#body-ink .lit-line');
      await page.mouse.move(at.x, at.y);
      await page.waitForTimeout(60);
      if ((await lit(walk)) === `${riveted.id}/${rivet.id}`) return;
    }
  }
  assert.fail(`no rivet of ${riveted.id} lights from the body`);
}

async function meets(walk) {
  const { page } = walk;
  const plate = await openAt(walk, 'isometric');
  const { joints } = await walk.json('joints?scale=7mm');
  const own = joints.filter((joint) => joint.a.plate === plate || joint.b.plate === plate);
  await page.locator('#meetings').waitFor();
  assert.equal(await page.locator('#meetings tbody tr').count(), own.length);
  const before = await walk.picture();
  await page.locator('#meetings tbody button').first().focus();
  await walk.still();
  assert.notDeepEqual(await walk.picture(), before, 'the neighbour is lit');
  assert.ok(await lit(walk), 'and where they meet');
  await walk.shoot('v2-meets');
  await page.locator('input[name="show"][value="meets"]').check();
  await page.locator('#body-canvas').focus();
  await walk.still();
  await walk.shoot('v2-only-what-it-meets');
  await page.locator('input[name="show"][value="all"]').check();
  const neighbour = await page.locator('#meetings tbody button').first().getAttribute('data-meets');
  await page.locator('#meetings tbody button').first().click();
  await page.waitForFunction((id) => location.hash.includes(`plate=${id}`), neighbour);
  await walk.still();
}

async function putAwayAndFaint(walk) {
  const { page } = walk;
  const plate = await openAt(walk, 'isometric');
  const whole = await walk.picture();
  await page.locator('#put-away').click();
  const without = await walk.picture();
  assert.notDeepEqual(without, whole);
  assert.equal(await page.locator('#put-away').getAttribute('aria-pressed'), 'true');
  await walk.shoot('v3-put-away');
  await page.locator('#body-canvas').focus();
  await page.keyboard.press('a');
  await page.locator('#put-away').focus();
  assert.deepEqual(await walk.picture(), whole, 'by key it is back');
  await page.locator('#draw-faint').click();
  await page.locator('#parts [data-part]').last().click();
  await walk.still();
  assert.match(await walk.text('#bring-back'), /1/);
  await walk.shoot('v3-faint');
  await page.locator('#bring-back').click();
  assert.ok(await page.locator('#bring-back').isDisabled());
  assert.ok(plate);
}

async function drawnApart(walk) {
  const { page } = walk;
  await openAt(walk, 'isometric');
  await use(walk, 'apart');
  const whole = await walk.picture();
  await page.locator('#apart').fill('0.5');
  const half = await walk.picture();
  assert.notDeepEqual(half, whole);
  await page.locator('#apart').fill('1');
  assert.notDeepEqual(await walk.picture(), half);
  await walk.shoot('v4-apart');
  await page.locator('#apart').focus();
  await page.keyboard.press('Home');
  await walk.still();
  await use(walk, 'apart', false);
}

async function cutAtFigure(walk) {
  const { page } = walk;
  await openAt(walk, 'isometric');
  await use(walk, 'cut');
  for (const axis of ['x', 'y', 'z']) {
    await page.locator('#cut-axis').selectOption(axis);
    const [low, high] = await page.locator('#cut-mm').evaluate((field) => [Number(field.min), Number(field.max)]);
    const at = (low + 0.43 * (high - low)).toFixed(1);
    await page.locator('#cut-mm').fill(at);
    near(Number(await page.locator('#cut-at').inputValue()), Number(at), 0.01, 'the slider follows the figure');
    await walk.still();
    await walk.shoot(`v5-cut-${axis}`);
  }
  await page.locator('#tray-cut select').press('Escape');
  assert.ok(await page.locator('#tray-cut').isHidden(), 'Escape puts it down');
  assert.equal(await page.evaluate(() => document.activeElement.id), 'use-cut');
}

async function toScale(walk) {
  const { page } = walk;
  await openAt(walk, 'side');
  await use(walk, 'overall');
  const list = await walk.json('plates?scale=7mm');
  for (const ratio of ['2', '1', '0.5']) {
    await page.locator('#body-scale').selectOption(ratio);
    await walk.still();
    const [first] = await page.locator('#body-ink .dimension').evaluateAll((groups) =>
      groups
        .filter((group) => group.querySelector('.arrow'))
        .map((group) => {
          const line = [...group.querySelectorAll('path:not(.arrow)')].at(-1).getBoundingClientRect();
          return { px: line.width, words: group.textContent };
        }),
    );
    const mm = Number(first.words.match(/\(([\d.]+)\)/)[1]);
    near(first.px, mm * Number(ratio) * PX_PER_PAPER_MM, 1, `${mm} mm at scale ${ratio}`);
    near(inches(first.words), (mm / list.mm_per_foot) * 12, 1 / 32 + 0.01, `${first.words} is full size`);
    assert.match(await walk.text('#body-caption'), /side elevation/i);
  }
  await page.locator('#body-scale').selectOption('');
  for (const view of ['side', 'front', 'plan']) {
    await page.locator(`[data-view="${view}"]`).click();
    await walk.still();
    assert.ok((await page.locator('#body-ink .dimension').count()) >= 4, `${view} has its dimensions`);
    await walk.shoot(`v6-${view}`);
  }
  // Enlarged by hand it is still the plan, and no longer to a chosen scale.
  await page.locator('#body-canvas').focus();
  await page.keyboard.press('+');
  assert.match(await walk.text('#body-caption'), /plan/i);
  await page.keyboard.press('p');
  await use(walk, 'overall', false);
}

async function dividers(walk) {
  const { page } = walk;
  const plate = await openAt(walk, 'plan');
  const all = await features(walk, plate);
  const points = all.filter((feature) => feature.kind === 'point' && !feature.name.startsWith('hole:')).slice(0, 2);
  await use(walk, 'measure');
  for (const point of points) {
    await page.locator(`#flat-drawing [data-feature="${point.id}"]`).first().focus();
    await page.keyboard.press('Enter');
  }
  const [a, b] = points.map((point) => point.at);
  const length = (p, q) => Math.hypot(...p.map((x, k) => x - q[k]));
  let said = await walk.text('#measured');
  near(millimetres(said.match(/Straight\s+([^\n]+)/)[1]), length(a.body_mm, b.body_mm), 0.006, 'in space');
  near(millimetres(said.match(/On the flat\s+([^\n]+)/)[1]), length(a.flat_mm, b.flat_mm), 0.006, 'on the flat');
  await walk.shoot('v7-dividers-on-flat');
  // In the body, by the mouse: from the middle of an opening to another place that is caught there.
  await page.locator('#measure-again').click();
  await page.locator('input[name="show"][value="alone"]').check();
  await page.locator('#body-scale').selectOption('2');
  await walk.still();
  const hole = all.find((feature) => feature.kind === 'hole');
  await page.locator(`#flat-drawing [data-feature="${hole.id}"]`).first().focus();
  const place = await middleOf(walk, '#body-ink .lit-line');
  await page.mouse.click(place.x + place.width / 2, place.y);
  await page.waitForFunction(() => /From\s+(?!point at)/.test(document.getElementById('measured').innerText));
  await page.mouse.click(place.x - place.width / 2, place.y);
  await page.waitForFunction(() => /Straight/.test(document.getElementById('measured').innerText));
  said = await walk.text('#measured');
  near(millimetres(said.match(/Straight\s+([^\n]+)/)[1]), hole.diameter_mm, 0.1, `across an opening: ${said}`);
  assert.match(said, /full size/);
  await walk.shoot('v7-dividers-in-body');
  // By key alone.
  await page.locator('#measure-again').click();
  await page.locator('#body-canvas').focus();
  for (const key of ['.', 'Enter', '.', '.', 'Enter']) await page.keyboard.press(key);
  assert.match(await walk.text('#measured'), /Straight/);
  await use(walk, 'measure', false);
  await page.locator('input[name="show"][value="all"]').check();
  await page.locator('#body-scale').selectOption('');
}

async function bendingGauge(walk) {
  const { page } = walk;
  const plate = await openAt(walk, 'front');
  await page.locator('input[name="show"][value="alone"]').check();
  await page.locator('#body-scale').selectOption('0.5');
  await use(walk, 'gauge');
  const formed = await walk.picture();
  const flat = await walk.json(`plates/${plate}/flat.json?scale=7mm`);
  const edge = flat.edges.find((own) => own.name === 'front');
  const front = `#flat-drawing [data-feature="edge:front"]`;
  const widthOfFront = async () => {
    await page.locator(front).focus();
    await walk.still();
    return (await middleOf(walk, '#body-ink .lit-line')).width;
  };
  const before = await widthOfFront();
  // Dragged to the top: half bent.
  const dial = await page.locator('#gauge').boundingBox();
  const onArc = (stage) => ({ x: dial.x + 122 - 92 * Math.cos(Math.PI * stage), y: dial.y + 118 - 92 * Math.sin(Math.PI * stage) });
  const [from, to] = [onArc(1), onArc(0.5)];
  await page.mouse.move(from.x, from.y - 2);
  await page.mouse.down();
  await page.mouse.move(onArc(0.8).x, onArc(0.8).y, { steps: 4 });
  await page.mouse.move(to.x, to.y, { steps: 4 });
  await page.mouse.up();
  near(Number(await page.locator('#gauge').getAttribute('aria-valuenow')), 50, 1, 'the pointer follows the hand');
  await walk.shoot('v8-half-bent');
  assert.notDeepEqual(await walk.picture(), formed);
  // By key: flat. The front edge then lies at its true length, seen from the front; its bow is along the eye.
  await page.locator('#gauge').focus();
  await page.keyboard.press('Home');
  const laid = await widthOfFront();
  const ends = (await features(walk, plate)).find((own) => own.id === 'edge:front').runs[0].flat_mm;
  const across = Math.max(...ends.map((end) => end[1])) - Math.min(...ends.map((end) => end[1]));
  near(laid, across * 0.5 * PX_PER_PAPER_MM, 4, `flat, the front edge of ${edge.flat_mm} mm is seen at its true width`);
  assert.ok(laid > before * 1.2, 'it is wider flat than formed');
  await walk.shoot('v8-flat');
  await page.locator('#gauge').focus();
  await page.keyboard.press('ArrowRight');
  near(Number(await page.locator('#gauge').getAttribute('aria-valuenow')), 2, 0.5, 'a step by key');
  await page.keyboard.press('End');
  await page.locator('#use-gauge').focus();
  assert.deepEqual(await walk.picture(), formed, 'formed again, to the pixel');
  await page.locator('#lay-flat').click();
  assert.equal(await page.locator('#gauge').getAttribute('aria-valuenow'), '0', 'without motion where it is not wanted');
  await page.locator('#bend-up').click();
  // The whole kit, in its order.
  await page.locator('input[name="show"][value="all"]').check();
  await page.locator('#body-scale').selectOption('');
  await page.locator('[data-view="isometric"]').click();
  await page.locator('#gauge-kit').check();
  await page.locator('#gauge').focus();
  await page.keyboard.press('Home');
  await walk.still();
  await walk.shoot('v8-kit-flat');
  const pictures = new Set();
  for (const stage of [0.3, 0.6]) {
    const at = onArc(stage);
    await page.mouse.click(at.x, at.y);
    pictures.add((await walk.picture()).toString('base64'));
    assert.match(await walk.text('#gauge-note'), /In hand: /);
  }
  assert.equal(pictures.size, 2, 'the kit grows');
  await walk.shoot('v8-kit-half-way');
  await use(walk, 'gauge', false);
}

/** The smallest bent plate of a model, alone: what it takes from one stage to the next picture. */
async function frameTime(walk) {
  const { page } = walk;
  const { plates } = await walk.json('plates?scale=7mm');
  const small = plates.filter((plate) => plate.formed === 'rolled').sort((a, b) => a.flat_area_mm2 - b.flat_area_mm2)[0];
  await openAt(walk, 'isometric', small.id);
  await page.locator('input[name="show"][value="alone"]').check();
  await use(walk, 'gauge');
  const figures = await page.evaluate(async () => {
    const dial = document.getElementById('gauge');
    const frame = () => new Promise((done) => requestAnimationFrame(done));
    const press = (key) => dial.dispatchEvent(new KeyboardEvent('keydown', { key, bubbles: true, cancelable: true }));
    press('Home');
    await frame();
    const times = [];
    let last = await frame();
    for (let k = 0; k < 50; k += 1) {
      press('ArrowRight');
      const now = await frame();
      times.push(now - last);
      last = now;
    }
    times.sort((a, b) => a - b);
    return { median: times[25], most: times[49] };
  });
  console.log(`      bending ${small.id}: ${figures.median.toFixed(1)} ms a picture (median of 50), ${figures.most.toFixed(1)} ms at most`);
  await use(walk, 'gauge', false);
  await page.locator('input[name="show"][value="all"]').check();
}

async function findings(walk) {
  const { page } = walk;
  const { findings: all } = await walk.json('findings?scale=7mm');
  await openAt(walk, 'side');
  for (const severity of ['error', 'warning', 'note']) {
    const box = page.locator(`.filters input[value="${severity}"]`);
    await box.uncheck();
    assert.equal(await page.locator(`#findings > li.${severity}`).count(), 0, `${severity}s are sifted out`);
    await box.check();
    assert.equal(await page.locator(`#findings > li.${severity}`).count(), all.filter((own) => own.severity === severity).length);
  }
  const place = all.find((own) => own.at.body_mm && own.at.plate) ?? all.find((own) => own.at.body_mm) ?? all[0];
  assert.ok(place, 'the model has a finding');
  const row = page.locator('#findings > li button', { hasText: place.sentence }).first();
  const before = await walk.picture();
  await row.click();
  await walk.still();
  assert.notDeepEqual(await walk.picture(), before, 'the eye flies there');
  if (place.at.body_mm) assert.ok((await page.locator('#body-ink .mark').count()) > 0, 'the place is marked in the body');
  if (place.at.flat_mm) assert.ok((await page.locator('#flat-drawing .lit .mark').count()) > 0, 'and on the flat');
  const told = await walk.text('#findings > li .details');
  if (place.mend) assert.ok(told.includes(place.mend), told);
  assert.ok(told.includes(place.asks));
  await walk.shoot('v9-finding');
  await page.locator('[data-view="side"]').click();
}

/** Drops a picture of a works drawing: a frame of 800 by 300 px with a line of 700 px along it. */
async function drop(walk, type, name) {
  await walk.page.evaluate(
    async ([kind, called]) => {
      let blob;
      if (kind === 'image/svg+xml') {
        const text = '<svg xmlns="http://www.w3.org/2000/svg" width="800" height="300"><rect width="800" height="300" fill="#fff" stroke="#27c" stroke-width="6"/><path d="M50 250H750" stroke="#27c" stroke-width="3"/></svg>';
        blob = new Blob([text], { type: kind });
      } else {
        const canvas = new OffscreenCanvas(800, 300);
        const context = canvas.getContext('2d');
        context.fillStyle = '#ffffff';
        context.fillRect(0, 0, 800, 300);
        context.strokeStyle = '#2277cc';
        context.lineWidth = 6;
        context.strokeRect(3, 3, 794, 294);
        context.beginPath();
        context.moveTo(50, 250);
        context.lineTo(750, 250);
        context.stroke();
        blob = await canvas.convertToBlob({ type: kind });
      }
      const data = new DataTransfer();
      data.items.add(new File([blob], called, { type: kind }));
      const target = document.getElementById('body-canvas');
      for (const event of ['dragenter', 'dragover', 'drop']) target.dispatchEvent(new DragEvent(event, { dataTransfer: data, bubbles: true, cancelable: true }));
    },
    [type, name],
  );
  await walk.page.locator('#beneath').waitFor({ state: 'visible' });
}

async function drawingBeneath(walk) {
  const { page } = walk;
  await openAt(walk, 'side');
  await page.locator('#body-scale').selectOption('0.5');
  for (const [type, name] of [['image/jpeg', 'scan.jpg'], ['image/svg+xml', 'drawing.svg'], ['image/png', 'drawing.png']]) {
    await drop(walk, type, name);
    assert.match(await walk.text('#beneath-note'), new RegExp(name.replace('.', '\\.')));
  }
  await walk.still();
  const box = await page.locator('#beneath').boundingBox();
  const on = (x, y) => ({ x: box.x + (x / 800) * box.width, y: box.y + (y / 300) * box.height });
  await page.locator('#beneath-points').click();
  for (const place of [on(50, 250), on(750, 250)]) await page.mouse.click(place.x, place.y);
  await page.locator('#beneath-length').fill('thirty');
  await page.keyboard.press('Enter');
  assert.match(await walk.text('#beneath-note'), /no length/);
  await page.locator('#beneath-length').fill("31' 6\"");
  await page.keyboard.press('Enter');
  assert.match(await walk.text('#beneath-note'), /^To scale/);
  const list = await walk.json('plates?scale=7mm');
  const laid = await page.locator('#beneath').boundingBox();
  // 700 of 800 px are 31 ft 6 in; at 1 : 2 the picture is half as much of the model, on paper.
  near(laid.width, 31.5 * list.mm_per_foot * (800 / 700) * 0.5 * PX_PER_PAPER_MM, 4, 'the picture is to scale');
  const at = laid.x;
  await page.locator('#beneath-move').click();
  await page.keyboard.press('Shift+ArrowRight');
  await page.keyboard.press('Escape');
  near((await page.locator('#beneath').boundingBox()).x, at + 10, 0.6, 'it moves by key');
  await page.locator('#beneath-move').click();
  await page.mouse.move(laid.x + 100, laid.y + 60);
  await page.mouse.down();
  await page.mouse.move(laid.x + 130, laid.y + 60, { steps: 3 });
  await page.mouse.up();
  await page.keyboard.press('Escape');
  near((await page.locator('#beneath').boundingBox()).x, at + 40, 1.5, 'and by hand');
  // The first point, 50 px in and 250 px down, is laid on beam and rail: both ends of the body's own scale.
  await page.locator('#beneath-origin').click();
  const onRail = await page.locator('#beneath').boundingBox();
  await use(walk, 'overall');
  const rail = await page.locator('#body-ink .dimension path').first().boundingBox();
  near(onRail.y + (250 / 300) * onRail.height, rail.y, 1.5, 'the drawing stands on the rail');
  await use(walk, 'overall', false);
  const solid = await walk.picture();
  await page.locator('#beneath-fade').fill('0.4');
  assert.notDeepEqual(await walk.picture(), solid, 'it fades');
  await page.locator('#beneath-outline').check();
  await walk.still();
  await walk.shoot('v10-outline-over-drawing');
  // It stays with the engine when the eye moves, and away where nothing is true to scale.
  await page.locator('#body-scale').selectOption('1');
  await walk.still();
  near((await page.locator('#beneath').boundingBox()).width, laid.width * 2, 2, 'it follows the scale');
  await page.locator('[data-view="isometric"]').click();
  await walk.still();
  assert.ok(await page.locator('#beneath').isHidden());
  await page.locator('[data-view="front"]').click();
  await walk.still();
  assert.ok(await page.locator('#beneath').isVisible(), 'each view has its own place for it');
  await page.locator('#beneath-outline').uncheck();
  await page.locator('#body-scale').selectOption('');
  await use(walk, 'beneath', false);
}

/** What axe finds on the sheet as it stands. */
async function barriers(walk) {
  await walk.page.evaluate(axe);
  const { violations } = await walk.page.evaluate(() => globalThis.axe.run({ resultTypes: ['violations'] }));
  return violations.map((own) => `${own.id} (${own.impact}): ${own.nodes.map((node) => node.html.slice(0, 90)).join(' | ')}`);
}

async function accessible(walk) {
  const { page } = walk;
  const trays = ['cut', 'gauge', 'measure', 'overall', 'beneath'];
  await openAt(walk, 'side');
  for (const id of trays) await use(walk, id);
  for (const colorScheme of ['light', 'dark']) {
    await page.emulateMedia({ colorScheme, reducedMotion: 'reduce' });
    await walk.still();
    assert.deepEqual(await barriers(walk), [], `${colorScheme}: axe finds nothing`);
    await walk.shoot(`v11-${colorScheme}`);
  }
  for (const id of trays) await use(walk, id, false);
  await page.emulateMedia({ colorScheme: 'light', reducedMotion: 'reduce' });
  const drawers = page.locator('.drawers button');
  for (let k = (await drawers.count()) - 1; k >= 0; k -= 1) {
    await drawers.nth(k).click();
    assert.deepEqual(await barriers(walk), [], `drawer ${await drawers.nth(k).innerText()}: axe finds nothing`);
  }
}

async function otherPapers(walk) {
  const { page } = walk;
  const before = page.viewportSize();
  await openAt(walk, 'isometric');
  for (const [width, height, name] of [[1280, 800, '1280'], [1024, 768, 'tablet'], [820, 1180, 'tablet-upright']]) {
    await page.setViewportSize({ width, height });
    await walk.still();
    const over = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
    assert.ok(over <= 0, `${name}: nothing stands out at the side (${over} px)`);
    await walk.shoot(`v12-${name}`);
  }
  await page.setViewportSize(before);
  await walk.still();
  await walk.print('v12-printed');
}

/** First picture after load, and the weight of the page as it would come compressed. */
async function lightAndQuick(walk) {
  const { page } = walk;
  await page.goto('about:blank');
  const start = Date.now();
  await page.goto(`${walk.base}/#model=${walk.model}&scale=7mm`);
  await page.waitForFunction(() => Number(document.documentElement.dataset.frames) > 0);
  const first = Date.now() - start;
  const names = await page.evaluate(() =>
    performance.getEntriesByType('resource').map((entry) => entry.name).filter((name) => !name.includes('/v1/')),
  );
  let weight = 0;
  for (const address of [walk.base + '/', ...new Set(names)]) {
    weight += gzipSync(Buffer.from(await (await fetch(address)).arrayBuffer())).length;
  }
  console.log(`      first picture ${first} ms after load; page ${(weight / 1000).toFixed(0)} kB compressed`);
  assert.ok(weight < WEIGHT_LIMIT, `${weight} bytes`);
}

export const VIEW_STEPS = [
  ['what is pointed at lights in body and flat alike', linked],
  ['what a plate meets is listed and lit', meets],
  ['plates are put away and drawn faint', putAwayAndFaint],
  ['the engine is drawn apart', drawnApart],
  ['a section stands at a typed figure', cutAtFigure],
  ['standard views are to scale, with full-size dimensions', toScale],
  ['the dividers measure between two features', dividers],
  ['the bending gauge bends a plate and the kit', bendingGauge],
  ['the bending gauge is quick', frameTime],
  ['a finding leads to its place in both views', findings],
  ['a works drawing is laid beneath to scale', drawingBeneath],
  ['nothing bars the way of screen reader or eye', accessible],
  ['the sheet fits 1280, a tablet and paper', otherPapers],
  ['the page is light and quick', lightAndQuick],
];

// One walk through the page, as steps that each assert what a designer would see.

import assert from 'node:assert/strict';
import { readFile, rename, writeFile } from 'node:fs/promises';
import { join } from 'node:path';

/** The ink in which cut metal is filled, and the accent in which the picked plate's cut is filled. */
const CUT_INK = '#3a3d43';
const CUT_PICKED = '#7a1f2b';

/** CSS fixes 96 px to the inch. */
const PX_PER_PAPER_MM = 96 / 25.4;

export class Walk {
  constructor({ page, pixels, base, models, model, shoot, print, server, out }) {
    Object.assign(this, { page, pixels, base, model, shoot, print, server, out });
    /** Complaints of the browser that a step brings about on purpose. */
    this.permitted = null;
    this.file = join(models, `${model}.toml`);
  }

  async open(hash) {
    await this.page.goto('about:blank');
    await this.page.goto(`${this.base}/#${hash}`);
    await this.ready();
  }

  async ready() {
    await this.page.waitForFunction(() => {
      const { ready, error } = document.documentElement.dataset;
      return ready || error;
    });
    const { error } = await this.state();
    assert.equal(error, undefined, `the page shows a problem: ${error}`);
    await this.page.waitForFunction(() => Number(document.documentElement.dataset.frames) > 0);
    await this.still();
  }

  state() {
    return this.page.evaluate(() => ({ ...document.documentElement.dataset }));
  }

  text(selector) {
    return this.page.locator(selector).innerText();
  }

  /** Waits until no frame was drawn for a quarter of a second. */
  async still() {
    for (let before = ''; ; ) {
      // What was asked for is drawn with the next frame, however late that comes.
      await this.page.evaluate(() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done))));
      const { frames } = await this.state();
      if (frames === before) return;
      before = frames;
      await this.page.waitForTimeout(250);
    }
  }

  async picture() {
    await this.still();
    return this.page.locator('#body').screenshot();
  }

  async json(path) {
    const answer = await fetch(`${this.base}/v1/models/${this.model}/${path}`);
    assert.ok(answer.ok, `${path}: ${answer.status}`);
    return answer.json();
  }

  async pickInList(id) {
    const row = this.page.locator(`#parts [data-part="${id}"]`);
    await row.click();
    const title = await row.locator('.title').innerText();
    await this.page.waitForFunction((name) => document.getElementById('status').textContent.startsWith(`${name} picked`), title);
    assert.ok((await this.page.evaluate(() => location.hash)).includes(`plate=${id}`), 'the address names the plate');
    await this.still();
  }

  async realPage() {
    const answer = await fetch(`${this.base}/`);
    const policy = answer.headers.get('content-security-policy') ?? '';
    assert.match(policy, /default-src 'self'/, 'the page comes with its policy');
    assert.doesNotMatch(policy, /unsafe/, 'and the policy has no hole');
    await this.open(`model=${this.model}&scale=7mm`);
    assert.equal(await this.page.locator('#parts').count(), 1, 'the page proper, not the placeholder');
    const frames = (await this.state()).frames;
    await this.page.waitForTimeout(600);
    assert.equal((await this.state()).frames, frames, 'nothing is drawn while nothing happens');
    await this.shoot('1-opened');
  }

  async listOfParts() {
    const list = await this.json('plates?scale=7mm');
    assert.ok(list.plates.length > 0);
    for (const assembly of list.assemblies) {
      const row = this.page.locator(`#parts > [data-assembly="${assembly.id}"]`);
      assert.match(await row.locator('.assembly').innerText(), new RegExp(assembly.title, 'i'));
      const shown = await row.locator('[data-part]').evaluateAll((items) => items.map((item) => item.dataset.part));
      assert.deepEqual(shown.slice(0, assembly.plates.length), assembly.plates, assembly.id);
    }
    const findings = await this.json('findings?scale=7mm');
    assert.equal(await this.page.locator('#findings > li').count(), findings.findings.length);
  }

  /** A rolled plate with a hole where there is one, else the first plate. */
  async wrapper() {
    const { plates } = await this.json('plates?scale=7mm');
    return plates.find((plate) => plate.id === 'boiler-wrapper') ?? plates.find((plate) => plate.formed === 'rolled') ?? plates[0];
  }

  async flatToScale() {
    const plate = await this.wrapper();
    const { page } = this;
    await page.keyboard.press('s');
    await this.pickInList(plate.id);
    assert.equal(await this.text('#plate-heading'), plate.title);
    const stated = await this.text('#drawn');
    assert.match(stated, /^(1|2|5|10) : 1$|^1 : (2|5)$/);
    const [paper, model] = stated.split(' : ').map(Number);
    const dimensions = await page.locator('#flat-drawing .dimension text').allTextContents();
    assert.equal(dimensions.length, 2, 'overall length and width');
    const drawn = await page.locator('#flat-drawing .outline').evaluate((path) => {
      const box = path.getBBox();
      return { width: box.width, height: box.height };
    });
    for (const [px, figure] of [
      [drawn.width, dimensions[0]],
      [drawn.height, dimensions[1]],
    ]) {
      const wanted = Number(figure) * (paper / model) * PX_PER_PAPER_MM;
      assert.ok(Math.abs(px - wanted) < 0.1, `${figure} mm at ${stated} is ${wanted} px, drawn ${px} px`);
    }
    const flat = await this.json(`plates/${plate.id}/flat.json?scale=7mm`);
    assert.equal(await page.locator('#flat-drawing .hole').count(), flat.holes.length);
    assert.equal(await page.locator('#flat-drawing .point').count(), flat.points.length);
    const table = await this.text('#plate-table');
    for (const edge of plate.edges) {
      assert.ok(table.includes(edge.flat_mm.toFixed(3)), `${edge.name} flat`);
      assert.ok(table.includes(edge.formed_mm.toFixed(3)), `${edge.name} formed`);
    }
    assert.ok(table.includes(plate.thickness_mm.toFixed(2)), 'thickness');
    await this.shoot('2-flat');
  }

  async commonCentreLine() {
    const { page } = this;
    for (const view of ['side', 'front', 'plan', 'isometric']) {
      await page.locator(`[data-view="${view}"]`).click();
      await this.still();
      assert.equal(await page.locator('#centre').getAttribute('data-common'), 'true', `one line in the view ${view}`);
      const places = await page.evaluate(() => {
        const line = document.querySelector('.centre-line[d]').getBoundingClientRect();
        const flat = document.querySelector('#flat-drawing .outline').getBoundingClientRect();
        const field = document.getElementById('field').getBoundingClientRect();
        return { line: line.x + line.width / 2, flat: flat.x + flat.width / 2, length: line.height, field: field.height };
      });
      assert.ok(Math.abs(places.line - places.flat) < 1, `${view}: the flat stands on the line`);
      assert.ok(places.length > places.field * 0.9, `${view}: the line runs through both views`);
    }
  }

  async nameOnFlat() {
    const { page } = this;
    const point = page.locator('#flat-drawing [role="button"]').first();
    await point.focus();
    const name = await point.getAttribute('aria-label');
    assert.equal(await this.text('#flat-named'), name);
    await page.keyboard.press('Enter');
    assert.equal(await this.text('#status'), `${name}.`);
  }

  async pickInBody() {
    const { page } = this;
    await page.locator('[data-view="isometric"]').click();
    await this.still();
    const before = await this.text('#plate-title');
    const box = await page.locator('#body-canvas').boundingBox();
    for (let row = 1; row < 9; row += 1) {
      for (let column = 2; column < 14; column += 1) {
        await page.mouse.move(box.x + (box.width * column) / 16, box.y + (box.height * row) / 10);
        await page.waitForTimeout(40);
        const name = await this.text('#under-pointer');
        if (name === '' || name === before) continue;
        await page.mouse.down();
        await page.mouse.up();
        await page.waitForFunction((title) => document.getElementById('plate-title').textContent === title, name);
        const selected = page.locator('#parts [aria-selected="true"]');
        assert.equal(await selected.locator('.title').innerText(), name, 'the list follows the body');
        await this.still();
        await this.shoot('3-picked-in-body');
        return;
      }
    }
    assert.fail('no plate was found under the pointer anywhere in the body');
  }

  async sectionShowsCutMetal() {
    const { page, pixels } = this;
    await this.pickInList((await this.wrapper()).id);
    await page.locator('[data-view="isometric"]').click();
    const whole = await this.picture();
    const inkBefore = await pixels.count(whole, CUT_INK);
    await page.locator('#use-cut').click();
    await page.locator('#cut-axis').selectOption('x');
    await page.locator('#cut-at').evaluate((slider) => {
      slider.value = String(Number(slider.min) + 0.4 * (Number(slider.max) - Number(slider.min)));
      slider.dispatchEvent(new Event('input'));
    });
    const cut = await this.picture();
    const ink = (await pixels.count(cut, CUT_INK)) - inkBefore;
    assert.ok(ink > 150, `cut metal is filled in ink (${ink} px more than before)`);
    assert.ok((await pixels.count(cut, CUT_PICKED)) > 20, 'the cut of the picked plate is in the accent');
    await this.shoot('4-section');
    await page.locator('#cut-other').check();
    const other = await this.picture();
    assert.notDeepEqual(other, cut, 'the other side is another picture');
    await page.locator('#cut-other').uncheck();
    await page.locator('#cut-at').focus();
    await page.keyboard.press('ArrowRight');
    assert.notDeepEqual(await this.picture(), cut, 'the slider moves by key');
    await page.locator('#use-cut').click();
    assert.deepEqual(await this.picture(), whole, 'without a section the body is whole again');
  }

  async showsPlateAlone() {
    const { page } = this;
    const all = await this.picture();
    await page.locator('input[name="show"][value="faint"]').check();
    const faint = await this.picture();
    assert.notDeepEqual(faint, all);
    await this.shoot('5-others-faint');
    await page.locator('input[name="show"][value="alone"]').check();
    assert.notDeepEqual(await this.picture(), faint);
    await page.locator('input[name="show"][value="all"]').check();
    assert.deepEqual(await this.picture(), all);
  }

  async viewsByKey() {
    const { page } = this;
    await page.locator('#body-canvas').focus();
    const seen = new Set();
    for (const [key, view] of Object.entries({ s: 'side', f: 'front', p: 'plan', r: 'rear', i: 'isometric' })) {
      await page.keyboard.press(key);
      assert.equal(await page.locator(`[data-view="${view}"]`).getAttribute('aria-pressed'), 'true', view);
      seen.add((await this.picture()).toString('base64'));
      assert.match(await page.evaluate(() => location.hash), new RegExp(`view=${view}`));
    }
    assert.equal(seen.size, 5, 'five views are five pictures');
    await page.keyboard.press('ArrowLeft');
    assert.match(await this.text('#body-caption'), /turned by hand/);
    await page.keyboard.press('s');
    await this.still();
    await this.shoot('6-side');
  }

  async keyboardOnly() {
    const { page } = this;
    await this.open(`model=${this.model}&scale=7mm`);
    await page.keyboard.press('Tab');
    assert.equal(await page.evaluate(() => document.activeElement.id), 'skip', 'the skip link comes first');
    await page.keyboard.press('Enter');
    const role = () => page.evaluate(() => document.activeElement.getAttribute('role'));
    assert.equal(await role(), 'treeitem', 'the skip link leads to the list');
    await page.keyboard.press('Home');
    await page.keyboard.press('ArrowLeft');
    assert.equal(await page.evaluate(() => document.activeElement.getAttribute('aria-expanded')), 'false');
    await page.keyboard.press('ArrowRight');
    await page.keyboard.press('ArrowDown');
    const plate = await page.evaluate(() => document.activeElement.dataset.part);
    assert.ok(plate, 'arrow down walks into the sub-assembly');
    const outline = await page.evaluate(() => getComputedStyle(document.activeElement).outlineStyle);
    assert.notEqual(outline, 'none', 'the focus can be seen');
    await page.keyboard.press('Enter');
    await page.waitForFunction((id) => location.hash.includes(`plate=${id}`), plate);
    await page.waitForFunction(() => document.getElementById('status').textContent.includes('picked'));
    const nameless = await page.evaluate(() =>
      [...document.querySelectorAll('button, select, input, [tabindex="0"]')]
        .filter((element) => element.checkVisibility())
        .filter((element) => {
          const label = element.labels?.[0]?.textContent ?? '';
          const by = element.getAttribute('aria-labelledby');
          const text = `${element.getAttribute('aria-label') ?? ''}${by ? document.getElementById(by)?.textContent : ''}${label}${element.textContent}`;
          return text.trim() === '';
        })
        .map((element) => element.outerHTML.slice(0, 80)),
    );
    assert.deepEqual(nameless, [], 'every control has a name');
    // Once round the page: no control keeps the focus for itself.
    const ids = new Set();
    for (let steps = 0; steps < 140; steps += 1) {
      await page.keyboard.press('Tab');
      ids.add(await page.evaluate(() => document.activeElement.id));
    }
    for (const id of ['model', 'scale', 'wheels', 'body-canvas', 'splitter', 'body-scale', 'use-cut', 'use-gauge', 'skip']) {
      assert.ok(ids.has(id), `${id} is reached with the Tab key`);
    }
  }

  async addressKeeps() {
    const plate = await this.wrapper();
    await this.open(`model=${this.model}&scale=4mm&plate=${plate.id}&view=plan`);
    assert.equal(await this.page.locator('#scale').inputValue(), '4mm');
    assert.equal(await this.text('#plate-title'), plate.title);
    assert.equal(await this.page.locator('[data-view="plan"]').getAttribute('aria-pressed'), 'true');
    const small = await this.text('#plate-table');
    await this.page.locator('#scale').selectOption('7mm');
    await this.page.waitForFunction((before) => document.getElementById('plate-table').innerText !== before, small);
    assert.match(await this.page.evaluate(() => location.hash), /scale=7mm/);
    await this.still();
  }

  /** Replaces the file in one step, as editors do. */
  async save(text) {
    await writeFile(`${this.file}.part`, text);
    await rename(`${this.file}.part`, this.file);
  }

  async revisionAfter(before) {
    await this.page.waitForFunction((old) => Number(document.documentElement.dataset.revision) > old, before, { timeout: 30000 });
    await this.still();
  }

  async followsTheFile() {
    const { page } = this;
    const plate = await this.wrapper();
    await this.open(`model=${this.model}&scale=7mm&plate=${plate.id}&view=side`);
    const good = await readFile(this.file, 'utf8');
    const changed = withHigherBoiler(good);
    const before = await this.picture();
    const revision = Number((await this.state()).revision);
    try {
      await this.save(changed);
      await this.revisionAfter(revision);
      assert.notDeepEqual(await this.picture(), before, 'the body follows the file');
      assert.match(await this.text('#status'), /built again/);
      assert.equal(await this.text('#plate-title'), plate.title, 'the picked plate stays picked');

      const lines = changed.split('\n');
      const line = Math.min(3, lines.length);
      lines.splice(line - 1, 0, 'this line = is no TOML');
      const kept = await this.picture();
      await this.save(lines.join('\n'));
      await page.waitForFunction(() => document.documentElement.dataset.error);
      assert.ok(await page.locator('#stamp').isVisible(), 'the sheet is stamped out of date');
      const problem = await this.text('#problem');
      assert.match(problem, new RegExp(`line ${line}, column \\d+`), problem);
      assert.match(await this.text('#status'), /cannot be built/);
      assert.notDeepEqual(await this.picture(), kept);
      await this.shoot('7-out-of-date');

      const broken = Number((await this.state()).revision);
      await this.save(good);
      await this.revisionAfter(broken);
      assert.equal((await this.state()).error, undefined);
      assert.ok(!(await page.locator('#stamp').isVisible()));
      assert.ok(!(await page.locator('#problem').isVisible()));
      assert.deepEqual(await this.picture(), before, 'the first body is back');
    } finally {
      await this.save(good);
    }
  }

  async narrowWindow() {
    const { page } = this;
    await page.setViewportSize({ width: 420, height: 800 });
    await this.still();
    const wide = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
    assert.ok(wide <= 0, `nothing stands out at the side (${wide} px)`);
    await this.shoot('8-narrow');
  }
}

/** The model text with the boiler pitched higher by three inches, full size. */
function withHigherBoiler(text) {
  const changed = text.replace(/^(\s*pitch\w*\s*=\s*)(.+)$/m, (_, key, value) => `${key}${raised(value)}`);
  assert.notEqual(changed, text, 'the model file gives the pitch of the boiler');
  return changed;
}

function raised(value) {
  const feet = value.match(/(\d+)\s*(?:ft|')\s*-?\s*(\d+)?/);
  if (feet) {
    const inches = Number(feet[1]) * 12 + Number(feet[2] ?? 0) + 3;
    return `"${Math.floor(inches / 12)}ft ${inches % 12}in"`;
  }
  return value.replace(/\d+(\.\d+)?/, (number) => String(Number(number) + 3));
}

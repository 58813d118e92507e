// Walks the page in a real browser. See `server.mjs` for PLATEWORK_BIN, BASE_URL and MODEL_DIR.
//
// OUT_DIR   where the pictures go (default: a folder in the system's temporary folder)
// CHROMIUM  the browser (default: /usr/bin/chromium)
// MODEL     the model to look at (default: the first that is served)
// STEPS     only steps whose title has these words

import { mkdir } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { chromium } from 'playwright-core';
import { FORM_STEPS } from './forms.mjs';
import { Pixels } from './pixels.mjs';
import { takeServer } from './server.mjs';
import { VIEW_STEPS } from './views.mjs';
import { Walk } from './walk.mjs';

const STEPS = [
  ['the real page opens, and draws only when needed', 'realPage'],
  ['the list of parts shows the plates by sub-assembly', 'listOfParts'],
  ['a plate picked in the list shows its flat to the stated scale', 'flatToScale'],
  ['body and flat stand on one centre line in every view', 'commonCentreLine'],
  ['holes and points of the flat say their names', 'nameOnFlat'],
  ['a click in the body picks a plate', 'pickInBody'],
  ['a section shows the cut metal', 'sectionShowsCutMetal'],
  ['the picked plate can be seen alone', 'showsPlateAlone'],
  ['keys give the standard views', 'viewsByKey'],
  ['the keyboard alone is enough', 'keyboardOnly'],
  ['the address keeps plate, view and scale', 'addressKeeps'],
  ['the page follows the model file, broken and mended', 'followsTheFile'],
  ...VIEW_STEPS,
  ...FORM_STEPS,
  ['a narrow window holds the sheet', 'narrowWindow'],
].filter(([title]) => title.includes(process.env.STEPS ?? ''));

const server = await takeServer();
const browser = await chromium.launch({
  executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium',
  args: ['--no-sandbox', '--use-gl=angle', '--use-angle=swiftshader', '--enable-unsafe-swiftshader'],
});
let failed = 0;
try {
  const out = process.env.OUT_DIR ?? join(tmpdir(), 'platework-pictures');
  await mkdir(out, { recursive: true });
  const context = await browser.newContext({ acceptDownloads: true, viewport: { width: 1440, height: 900 }, reducedMotion: 'reduce' });
  context.setDefaultTimeout(30000);
  const pixels = new Pixels(await context.newPage());
  const page = await context.newPage();
  // The notice of a first visit is looked at by itself.
  await context.addInitScript(() => {
    if (!location.protocol.startsWith('http') || sessionStorage.getItem('first')) return;
    localStorage.setItem('platework visited', 'yes');
  });
  const complaints = [];
  page.on('console', (message) => {
    if (['error', 'warning'].includes(message.type())) complaints.push(`console ${message.type()}: ${message.text()}`);
  });
  page.on('pageerror', (error) => complaints.push(`page error: ${error.message}`));
  page.on('request', (request) => {
    const url = new URL(request.url());
    if (url.protocol.startsWith('http') && url.origin !== server.base) complaints.push(`request elsewhere: ${request.url()}`);
  });
  const { models } = await (await fetch(`${server.base}/v1/models`)).json();
  const model = process.env.MODEL ?? models[0]?.name;
  if (!model) throw new Error('the server has no model');
  const shoot = (name) => page.screenshot({ path: join(out, `${name}.png`) });
  const print = (name) => page.pdf({ path: join(out, `${name}.pdf`), preferCSSPageSize: true, printBackground: true });
  const walk = new Walk({ page, pixels, base: server.base, models: server.models, model, shoot, print, server, out });
  for (const [title, step] of STEPS) {
    const start = Date.now();
    const before = complaints.length;
    walk.permitted = null;
    try {
      await (typeof step === 'string' ? walk[step]() : step(walk));
      const own = complaints.slice(before).filter((text) => !walk.permitted?.test(text));
      if (own.length > 0) throw new Error(own.join('\n'));
      console.log(`ok    ${title} (${((Date.now() - start) / 1000).toFixed(1)} s)`);
    } catch (error) {
      failed += 1;
      console.log(`FAILED ${title}\n${error.stack ?? error}`);
      await shoot(`failed-${step.name ?? step}`).catch(() => undefined);
    }
  }
  console.log(`${STEPS.length - failed} of ${STEPS.length} steps passed; pictures in ${out}`);
} finally {
  await browser.close();
  await server.stop();
}
process.exitCode = failed > 0 ? 1 : 0;

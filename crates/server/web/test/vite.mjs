// The sources are TypeScript; the build tool reads them as the page does.

import { after } from 'node:test';
import { createServer } from 'vite';

const vite = await createServer({ server: { middlewareMode: true, ws: false }, appType: 'custom', logLevel: 'error' });
after(() => vite.close());

export const load = (path) => vite.ssrLoadModule(path);

export const near = (found, wanted, within = 1e-9) => {
  if (!(Math.abs(found - wanted) <= within)) throw new Error(`${found} is not ${wanted}`);
};

import { defineConfig } from 'vite';

// The build script of the crate names the folder; by hand the page goes to `dist`, which git ignores.
const outDir = process.env.PLATEWORK_PAGE_OUT ?? 'dist';
const server = process.env.PLATEWORK_SERVER ?? 'http://127.0.0.1:8480';

export default defineConfig({
  base: '/',
  build: {
    outDir,
    emptyOutDir: true,
    // No data: addresses and no inline script, so that the page lives under `default-src 'self'`.
    assetsInlineLimit: 0,
    modulePreload: false,
    chunkSizeWarningLimit: 900,
  },
  server: { proxy: { '/v1': server } },
});

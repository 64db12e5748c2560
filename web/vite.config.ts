import { defineConfig } from 'vite';
import { serviceWorker } from './offline/plugin.ts';

export default defineConfig({
  root: import.meta.dirname,
  oxc: { jsx: { runtime: 'automatic', importSource: 'preact' } },
  plugins: [serviceWorker()],
  worker: { format: 'es' },
  build: { outDir: '../dist/web', emptyOutDir: true, target: 'es2022', assetsInlineLimit: 0 },
  server: { proxy: { '/api': { target: 'http://127.0.0.1:8080', ws: true } } },
});

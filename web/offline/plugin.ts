import { createHash } from 'node:crypto';
import { readdirSync, readFileSync } from 'node:fs';
import { join, sep } from 'node:path';
import type { Plugin } from 'vite';

/** Pages that must work without a network are made of these kinds of files. */
const KEPT = /\.(js|css|html|svg|webmanifest|png|jpg|webp|wasm)$/;

/** Writes the service worker with the list of all files of this build. */
export function serviceWorker(): Plugin {
  let publicDir = '';
  return {
    name: 'service-worker',
    apply: 'build',
    enforce: 'post',
    configResolved(config) {
      publicDir = config.publicDir;
    },
    generateBundle(_options, bundle) {
      const hash = createHash('sha256');
      const source = readFileSync(join(import.meta.dirname, 'service-worker.js'), 'utf8');
      const open = readdirSync(publicDir, { recursive: true, encoding: 'utf8' })
        .filter((name) => KEPT.test(name))
        .map((name) => name.replaceAll(sep, '/'));
      for (const name of open) hash.update(readFileSync(join(publicDir, name)));
      const built = Object.values(bundle).filter(({ fileName }) => KEPT.test(fileName));
      for (const file of built) hash.update(file.type === 'chunk' ? file.code : file.source);
      hash.update(source);
      const files = [...new Set(['index.html', ...built.map(({ fileName }) => fileName), ...open])].sort();
      const filled = source
        .replace('self.__FILES__', JSON.stringify(files))
        .replace('self.__VERSION__', JSON.stringify(hash.digest('hex').slice(0, 16)));
      this.emitFile({ type: 'asset', fileName: 'service-worker.js', source: filled });
    },
  };
}

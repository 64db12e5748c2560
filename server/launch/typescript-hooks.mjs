import { readFile } from 'node:fs/promises';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { root } from './child.mjs';

const top = pathToFileURL(root).href;
const built = /^(decoders|server)\/(.*)\.ts$/;

/**
 * Module hooks that let Node run a TypeScript file of `tests/`. What it imports from `decoders/` and `server/` comes
 * from `dist/`, so that a bench measures the code that ships; its own files are stripped of their types.
 *
 * @type {import('node:module').ResolveHook}
 */
export async function resolve(specifier, context, nextResolve) {
  if (specifier.startsWith('.') && specifier.endsWith('.ts')) {
    const { href } = new URL(specifier, context.parentURL);
    const path = href.startsWith(top) ? href.slice(top.length) : '';
    const source = built.exec(path);
    return { url: source ? `${top}dist/${source[1]}/${source[2]}.js` : href, shortCircuit: true };
  }
  return nextResolve(specifier, context);
}

/** @type {import('node:module').LoadHook} */
export async function load(url, context, nextLoad) {
  if (!url.endsWith('.ts')) return nextLoad(url, context);
  const { transformWithOxc } = await import('vite');
  const path = fileURLToPath(url);
  const { code } = await transformWithOxc(await readFile(path, 'utf8'), path);
  return { format: 'module', source: code, shortCircuit: true };
}

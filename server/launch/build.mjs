import { createHash } from 'node:crypto';
import { existsSync, mkdirSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { root, run, toolScript } from './child.mjs';
import { bringKernel } from './kernel.mjs';

/** What can be built: where its sources are, what must be there afterwards, and what makes it. */
const targets = {
  server: {
    sources: ['decoders', 'server', 'tsconfig.base.json', 'package-lock.json'],
    product: 'dist/server/main.js',
    outputs: ['dist/decoders', 'dist/server'],
    commands: () => [
      [toolScript('typescript', 'tsc'), '-b', 'decoders'],
      [toolScript('vite'), 'build', 'server', '--logLevel', 'warn'],
    ],
  },
  web: {
    sources: ['decoders', 'web', 'package-lock.json'],
    product: 'dist/web/index.html',
    outputs: ['dist/web'],
    commands: () => [[toolScript('vite'), 'build', 'web', '--logLevel', 'warn']],
  },
};

/**
 * Whether a target has to be built: a fingerprint of its sources is kept beside the result. Contents, not times, since
 * a checkout gives every file the time of the checkout.
 *
 * @param {keyof typeof targets} name
 * @returns {boolean}
 */
export function isBuilt(name) {
  const { sources, product } = targets[name];
  return existsSync(join(root, product)) && readStamp(name).fingerprint === fingerprint(sources).hash;
}

/**
 * Builds a target.
 *
 * @param {keyof typeof targets} name
 * @param {{ quiet?: boolean }} options `quiet` keeps standard output clean.
 */
export async function build(name, { quiet = false } = {}) {
  const { sources, product, outputs, commands } = targets[name];
  // Some of the sources are made of others.
  await bringKernel();
  const { hash, files } = fingerprint(sources);
  // The compiler leaves what a source made that is gone: start afresh, lest a dead module lives on.
  if (readStamp(name).files.some((file) => !files.includes(file))) {
    for (const output of outputs) rmSync(join(root, output), { recursive: true, force: true });
  }
  let code = 0;
  for (const command of commands()) {
    code ||= await run(process.execPath, command, {
      stdio: ['ignore', quiet ? process.stderr.fd : 'inherit', 'inherit'],
    });
  }
  if (code !== 0 || !existsSync(join(root, product))) {
    throw new Error(`building ${name} failed; the messages above say where`);
  }
  mkdirSync(join(root, 'dist'), { recursive: true });
  writeFileSync(stampPath(name), JSON.stringify({ fingerprint: hash, files }));
}

/** @param {string} name */
function stampPath(name) {
  return join(root, 'dist', `.${name}.json`);
}

/** @param {string} name @returns {{ fingerprint: string, files: string[] }} */
function readStamp(name) {
  try {
    return JSON.parse(readFileSync(stampPath(name), 'utf8'));
  } catch {
    return { fingerprint: '', files: [] };
  }
}

/** @param {readonly string[]} sources */
function fingerprint(sources) {
  const files = sources.flatMap(filesOf);
  const hash = createHash('sha256');
  for (const file of files)
    hash
      .update(file)
      .update('\0')
      .update(readFileSync(join(root, file)))
      .update('\0');
  return { hash: hash.digest('hex'), files };
}

/** @param {string} path @returns {string[]} paths from the root, with forward slashes, in a fixed order. */
function filesOf(path) {
  if (!existsSync(join(root, path))) return [];
  if (/\.[a-z]+$/.test(path)) return [path];
  return readdirSync(join(root, path), { withFileTypes: true })
    .sort((a, b) => (a.name < b.name ? -1 : 1))
    .flatMap((entry) => {
      const child = `${path}/${entry.name}`;
      if (entry.isDirectory()) return filesOf(child);
      return [child];
    });
}

import { spawn } from 'node:child_process';
import { existsSync, readFileSync } from 'node:fs';
import { dirname, join, resolve } from 'node:path';
import { fileURLToPath } from 'node:url';

/** Top of the checkout. */
export const root = fileURLToPath(new URL('../../', import.meta.url));

/**
 * Starts a program without a shell, so that arguments need no quoting on any system, and waits for it.
 *
 * @param {string} command
 * @param {readonly string[]} args
 * @param {import('node:child_process').SpawnOptions} [options]
 * @returns {Promise<number>} its exit code; 1 when a signal ended it.
 */
export function run(command, args, options = {}) {
  return new Promise((done, fail) => {
    const child = spawn(command, args, { cwd: root, stdio: 'inherit', windowsHide: true, ...options });
    child.on('error', fail);
    child.on('close', (code) => done(code ?? 1));
  });
}

/**
 * Arguments that run the command line tool of an installed package under this very Node: `.bin` entries are shell
 * scripts on Windows, the file that the package names is JavaScript everywhere.
 *
 * @param {string} packageName
 * @param {string} [bin] when the package brings several.
 * @returns {string} path of the script.
 */
export function toolScript(packageName, bin = packageName) {
  const folder = join(root, 'node_modules', packageName);
  const manifest = JSON.parse(readFileSync(join(folder, 'package.json'), 'utf8'));
  return resolve(folder, typeof manifest.bin === 'string' ? manifest.bin : manifest.bin[bin]);
}

/**
 * npm's own script: the npm that started us, else the one that came with Node. Null when there is none, as where npm is
 * a program apart.
 *
 * @returns {string | null}
 */
export function npmScript() {
  const beside = dirname(process.execPath);
  const candidates = [
    process.env.npm_execpath,
    join(beside, 'node_modules', 'npm', 'bin', 'npm-cli.js'),
    join(beside, '..', 'lib', 'node_modules', 'npm', 'bin', 'npm-cli.js'),
  ];
  return candidates.find((path) => path !== undefined && /npm-cli\.c?js$/.test(path) && existsSync(path)) ?? null;
}

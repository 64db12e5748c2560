import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { npmScript, root, run } from './child.mjs';

/**
 * Whether `node_modules` holds what the lock file asks for. npm writes what it installed to a lock file of its own when
 * it is done, so an interrupted install counts as none. Comparing contents, not times, survives a change of branch.
 *
 * @returns {boolean}
 */
export function isInstalled() {
  const installedPath = join(root, 'node_modules', '.package-lock.json');
  if (!existsSync(installedPath)) return false;
  const wanted = JSON.parse(readFileSync(join(root, 'package-lock.json'), 'utf8')).packages;
  const installed = JSON.parse(readFileSync(installedPath, 'utf8')).packages;
  return Object.entries(wanted).every(
    ([path, entry]) =>
      path === '' || (installed[path] ? installed[path].version === entry.version : entry.optional || entry.peer),
  );
}

/**
 * Installs what the lock file says, exactly.
 *
 * @param {{ quiet?: boolean }} options `quiet` keeps standard output clean.
 */
export async function install({ quiet = false } = {}) {
  const stdio = ['ignore', quiet ? process.stderr.fd : 'inherit', 'inherit'];
  const args = ['ci', '--no-fund', '--no-audit'];
  const script = npmScript();
  const code = script
    ? await run(process.execPath, [script, ...args], { stdio })
    : await run('npm', args, { stdio }).catch(() => 127);
  if (code === 127) throw new Error('npm was not found; install Node.js with npm, then try again');
  if (code !== 0) throw new Error('npm ci failed; its messages above say why');
}

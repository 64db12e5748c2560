import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { root } from './child.mjs';
import { prepare } from './prepare.mjs';

/**
 * Runs the built command line in this process, after bringing the checkout up to date, as if it had been called with
 * these arguments.
 *
 * @param {readonly string[]} args
 * @param {Parameters<typeof prepare>[0]} preparation
 */
export async function enterCommandLine(args, preparation) {
  try {
    await prepare(preparation);
  } catch (error) {
    console.error(`fiveunit: ${error.message}`);
    process.exitCode = 2;
    return;
  }
  // npm stands in the checkout; the files that a person names are counted from where that person stands.
  if (process.env.npm_lifecycle_event && process.env.INIT_CWD) process.chdir(process.env.INIT_CWD);
  const main = join(root, 'dist', 'server', 'main.js');
  process.argv = [process.execPath, main, ...args];
  await import(pathToFileURL(main).href);
}

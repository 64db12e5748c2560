import { build, isBuilt } from './build.mjs';
import { install, isInstalled } from './install.mjs';
import { alone } from './lock.mjs';

/**
 * Brings a checkout to where it runs: installs and builds what is missing or older than its sources, and nothing else.
 *
 * @param {{ targets: readonly ('server' | 'web')[], quiet?: boolean }} options `quiet` keeps standard output clean, for
 *   commands whose output is read by programs.
 */
export async function prepare({ targets, quiet = false }) {
  if (isInstalled() && targets.every(isBuilt)) return;
  const say = quiet ? console.error : console.log;
  await alone(async () => {
    if (!isInstalled()) {
      say('Installing dependencies. The first time this takes a minute or two.');
      await install({ quiet });
    }
    for (const target of targets) {
      if (isBuilt(target)) continue;
      say(`Building ${target} ...`);
      await build(target, { quiet });
    }
  });
}

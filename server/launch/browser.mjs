import { existsSync, readFileSync } from 'node:fs';
import { delimiter, join } from 'node:path';
import { run } from './child.mjs';

const names = ['chromium', 'chromium-browser', 'google-chrome', 'google-chrome-stable', 'chrome', 'msedge'];
const places = [
  '/Applications/Chromium.app/Contents/MacOS/Chromium',
  '/Applications/Google Chrome.app/Contents/MacOS/Google Chrome',
  ...['ProgramFiles', 'ProgramFiles(x86)', 'LocalAppData']
    .map((variable) => process.env[variable])
    .filter((folder) => folder !== undefined)
    .flatMap((folder) => [
      join(folder, 'Google', 'Chrome', 'Application', 'chrome.exe'),
      join(folder, 'Microsoft', 'Edge', 'Application', 'msedge.exe'),
    ]),
];

/**
 * The Chromium-like browser for the browser tests: `FIVEUNIT_CHROMIUM` when set, else one on PATH or in its usual place.
 *
 * @returns {string | null}
 */
export function findBrowser() {
  const chosen = process.env.FIVEUNIT_CHROMIUM;
  if (chosen) {
    if (existsSync(chosen)) return chosen;
    throw new Error(`FIVEUNIT_CHROMIUM names ${chosen}, which is not there`);
  }
  const extension = process.platform === 'win32' ? '.exe' : '';
  const onPath = (process.env.PATH ?? '')
    .split(delimiter)
    .flatMap((folder) => names.map((name) => join(folder, name + extension)));
  return [...onPath, ...places].find((path) => existsSync(path)) ?? null;
}

/**
 * Finds a browser, or installs Debian's where that can be done without asking: as root, on Debian.
 *
 * @returns {Promise<string | null>}
 */
export async function bringBrowser() {
  const found = findBrowser();
  if (found !== null || !mayInstall()) return found;
  console.log('Installing Chromium for the browser tests ...');
  const env = { ...process.env, DEBIAN_FRONTEND: 'noninteractive' };
  const install = ['install', '-y', '-qq', '--no-install-recommends', 'chromium'];
  try {
    // The lists of a fresh container are empty, or too old to name what is there.
    await run('apt-get', ['update', '-qq'], { env });
    await run('apt-get', install, { env });
  } catch {
    return null;
  }
  return findBrowser();
}

function mayInstall() {
  if (process.platform !== 'linux' || process.getuid?.() !== 0 || !existsSync('/etc/os-release')) return false;
  return /^ID=debian$/m.test(readFileSync('/etc/os-release', 'utf8'));
}

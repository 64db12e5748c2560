import { existsSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { pathToFileURL } from 'node:url';
import { parseArgs } from 'node:util';
import { root } from './child.mjs';
import { prepare } from './prepare.mjs';

const USAGE = `npm run build:pages [-- --mission FILE]... [--server URL] [--out FOLDER]

Makes the pages that need no server (reading lines, listening, how to hear it) a static site with missions inside, for any
plain web host, also below a path.
  --mission FILE  definition to put inside; may be repeated (default: samples/dunlin-1.json, an invented satellite)
  --server URL    server that takes what was heard, named on the pages; without it they send nothing
  --out FOLDER    where the site is written (default: dist/pages)`;

/** What is wrong with how it was called; said on one line. */
class Wrong extends Error {}

/** @returns {{ missions: string[], server: string | null, out: string } | null} null when help was asked for. */
function readArguments() {
  const { values } = parseArgs({
    options: {
      mission: { type: 'string', multiple: true },
      server: { type: 'string' },
      out: { type: 'string' },
      help: { type: 'boolean' },
    },
  });
  if (values.help) return null;
  // npm stands in the checkout; the files that a person names are counted from where that person stands.
  const here = (process.env.npm_lifecycle_event && process.env.INIT_CWD) || process.cwd();
  return {
    missions: values.mission?.map((path) => resolve(here, path)) ?? [join(root, 'samples', 'dunlin-1.json')],
    server: values.server === undefined ? null : readServer(values.server),
    out: values.out === undefined ? join(root, 'dist', 'pages') : resolve(here, values.out),
  };
}

/** @param {string} text */
function readServer(text) {
  const url = URL.canParse(text) ? new URL(text) : null;
  if (url === null || !/^https?:$/.test(url.protocol) || url.pathname !== '/' || url.search !== '' || url.hash !== '') {
    throw new Wrong(`--server is ${text}; an address such as https://wren.example is expected`);
  }
  return url.origin;
}

/**
 * Reads and checks a definition.
 *
 * @param {string} path
 */
async function readDefinition(path) {
  const { parseMissionText } = await import(pathToFileURL(join(root, 'dist', 'decoders', 'mission', 'index.js')).href);
  let text;
  try {
    text = readFileSync(path, 'utf8');
  } catch (error) {
    throw new Wrong(`${path} cannot be read: ${error.code ?? error.message}`);
  }
  const { mission, faults } = parseMissionText(text);
  if (mission === null) {
    const first = faults.find(({ severity }) => severity === 'fault');
    throw new Wrong(`${path} is no mission definition: at ${first?.path}, ${first?.found}; "fiveunit check" says more`);
  }
  if (mission.private) {
    throw new Wrong(
      `${path} is private, and whoever has the site has the definition: take "private" out if that is meant`,
    );
  }
  return { id: mission.id, name: mission.name, callSign: mission.callSign, definition: JSON.parse(text) };
}

/**
 * A folder that holds something else is left alone: building empties it.
 *
 * @param {string} out
 */
function needOwnFolder(out) {
  if (!existsSync(out) || readdirSync(out).length === 0) return;
  const page = join(out, 'index.html');
  if (existsSync(page) && readFileSync(page, 'utf8').includes('fiveunit-site')) return;
  throw new Wrong(`${out} holds something else, and would be emptied: name an empty folder with --out`);
}

/**
 * An installed site opens at an address of its own kind.
 *
 * @param {string} out
 */
function pointManifest(out) {
  const path = join(out, 'manifest.webmanifest');
  if (!existsSync(path)) return;
  writeFileSync(path, JSON.stringify({ ...JSON.parse(readFileSync(path, 'utf8')), start_url: './' }));
}

try {
  const asked = readArguments();
  if (asked === null) {
    console.log(USAGE);
  } else {
    const { server, out } = asked;
    needOwnFolder(out);
    await prepare({ targets: ['server'] });
    const missions = [];
    for (const path of asked.missions) missions.push(await readDefinition(path));
    const { build, runnerImport } = await import('vite');
    const { module } = await runnerImport(join(root, 'web', 'site', 'plugin.ts'), { configFile: false });
    await build({
      configFile: join(root, 'web', 'vite.config.ts'),
      base: './',
      logLevel: 'warn',
      plugins: [module.siteInside({ missions, server, builtAt: new Date().toISOString() })],
      build: { outDir: out, emptyOutDir: true },
    });
    pointManifest(out);
    console.log(`The site is in ${out}: put it on any web host.`);
  }
} catch (error) {
  console.error(`build:pages: ${error.message}`);
  process.exitCode = 2;
}

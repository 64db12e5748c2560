import { spawn } from 'node:child_process';
import { cp, mkdir, mkdtemp, readFile, realpath, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';

/** Stands for the compiler: notes that it ran, talks, and fails where a source is broken. */
const compiler = `
import { appendFileSync, existsSync } from 'node:fs';
appendFileSync('compiled.log', process.argv.slice(2).join(' ') + '\\n');
console.log('compiling');
if (existsSync('server/broken.ts')) process.exit(1);
`;

/** Stands for the bundler: writes a command line that shows what it was given. */
const bundler = `
import { mkdirSync, writeFileSync } from 'node:fs';
mkdirSync('dist/server', { recursive: true });
writeFileSync('dist/server/main.js',
  'console.log(JSON.stringify({ args: process.argv.slice(2), cwd: process.cwd() })); process.exitCode = 3;');
`;

/** Stands for the compiler of the vector kernel: makes as many bytes as the source has. */
const kernelCompiler = `
import { readFileSync, writeFileSync } from 'node:fs';
const { length } = readFileSync('decoders/signal/kernel/assembly/index.ts');
writeFileSync(process.argv[process.argv.indexOf('--outFile') + 1], new Uint8Array(length).fill(9));
`;
const kernel = 'decoders/signal/kernel';

let root = '';
beforeEach(async () => {
  root = await realpath(await mkdtemp(join(tmpdir(), 'fiveunit-launch-')));
  await cp(join(import.meta.dirname, '../../../server/launch'), join(root, 'server/launch'), { recursive: true });
  for (const tool of ['typescript', 'vite', 'assemblyscript'])
    await mkdir(join(root, 'node_modules', tool), { recursive: true });
  await mkdir(join(root, kernel, 'assembly'), { recursive: true });
  const files = {
    'package.json': '{ "type": "module" }',
    'package-lock.json': lock('1.0.0'),
    'node_modules/.package-lock.json': lock('1.0.0'),
    'node_modules/typescript/package.json': '{ "bin": { "tsc": "tsc.mjs" } }',
    'node_modules/typescript/tsc.mjs': compiler,
    'node_modules/vite/package.json': '{ "bin": { "vite": "vite.mjs" } }',
    'node_modules/vite/vite.mjs': bundler,
    'node_modules/assemblyscript/package.json': '{ "bin": { "asc": "asc.mjs" } }',
    'node_modules/assemblyscript/asc.mjs': kernelCompiler,
    [`${kernel}/assembly/index.ts`]: '123',
    'server/a.ts': '1',
    'decoders/b.ts': '2',
  };
  for (const [path, text] of Object.entries(files)) await writeFile(join(root, path), text);
});
afterEach(() => rm(root, { recursive: true, force: true }));

function lock(version: string): string {
  return JSON.stringify({ packages: { '': {}, 'node_modules/typescript': { version } } });
}

function launch(args: readonly string[] = [], env: NodeJS.ProcessEnv = {}) {
  const child = spawn(process.execPath, [join(root, 'server/launch/fiveunit.mjs'), ...args], {
    cwd: root,
    env: { PATH: process.env.PATH, ...env },
  });
  let out = '';
  let err = '';
  child.stdout.on('data', (chunk) => {
    out += chunk;
  });
  child.stderr.on('data', (chunk) => {
    err += chunk;
  });
  return new Promise<{ code: number | null; out: string; err: string }>((done) => {
    child.on('close', (code) => done({ code, out, err }));
  });
}

const compiled = async () => (await readFile(join(root, 'compiled.log'), 'utf8')).split('\n').length - 1;

describe('npm run fiveunit', () => {
  test('builds, keeps standard output to the command, and hands arguments and exit code on', async () => {
    const { code, out, err } = await launch(['decode', 'a b.wav', '--format', 'csv']);
    expect(code).toBe(3);
    expect(JSON.parse(out)).toEqual({ args: ['decode', 'a b.wav', '--format', 'csv'], cwd: root });
    expect(err).toContain('compiling');
  });

  test('builds again only when a source has changed', async () => {
    await launch();
    expect((await launch()).err).toBe('');
    expect(await compiled()).toBe(1);
    await writeFile(join(root, 'decoders/b.ts'), '3');
    await launch();
    expect(await compiled()).toBe(2);
  });

  test('a source that is gone takes what was made of it along', async () => {
    await launch();
    await writeFile(join(root, 'dist/server/a.js'), 'old');
    await rm(join(root, 'server/a.ts'));
    expect((await launch()).code).toBe(3);
    await expect(readFile(join(root, 'dist/server/a.js'))).rejects.toThrow('ENOENT');
  });

  test('the kernel is made when its sources have changed, and only then', async () => {
    const module = join(root, kernel, 'simd-module.ts');
    await launch();
    expect(await readFile(module, 'utf8')).toContain('Uint8Array.of(\n9,9,9,\n)');
    await writeFile(join(root, 'node_modules/assemblyscript/asc.mjs'), 'process.exitCode = 1;');
    await writeFile(join(root, 'decoders/b.ts'), '3');
    expect((await launch()).code).toBe(3);
    await writeFile(join(root, kernel, 'assembly/index.ts'), '12');
    expect((await launch()).err).toMatch(/compiling the kernel failed/);
  });

  test('two at once build once', async () => {
    const results = await Promise.all([launch(), launch(), launch()]);
    expect(results.map(({ code }) => code)).toEqual([3, 3, 3]);
    expect(await compiled()).toBe(1);
  });

  test('a lock that a killed build left does not hold', async () => {
    await mkdir(join(root, '.cache'));
    // No process has this number: they end below 2^22 on Linux, and Windows gives multiples of four.
    await writeFile(join(root, '.cache/launch.lock'), '99999999');
    expect((await launch()).code).toBe(3);
  });

  test('a build that fails is said so and runs nothing', async () => {
    await writeFile(join(root, 'server/broken.ts'), '');
    const { code, out, err } = await launch();
    expect(code).toBe(2);
    expect(out).toBe('');
    expect(err).toMatch(/building server failed/);
  });

  test('counts files from where the user stands', async () => {
    const folder = join(root, 'decoders');
    const { out } = await launch([], { INIT_CWD: folder, npm_lifecycle_event: 'fiveunit' });
    expect(JSON.parse(out).cwd).toBe(folder);
  });

  test('installs when the lock file asks for another version', async () => {
    await writeFile(join(root, 'package-lock.json'), lock('2.0.0'));
    await writeFile(
      join(root, 'npm-cli.js'),
      `import { writeFileSync, readFileSync } from 'node:fs';
       console.log('npm ' + process.argv.slice(2).join(' '));
       writeFileSync('node_modules/.package-lock.json', readFileSync('package-lock.json'));`,
    );
    const { code, out, err } = await launch([], { npm_execpath: join(root, 'npm-cli.js') });
    expect(code).toBe(3);
    expect(err).toContain('npm ci');
    expect(JSON.parse(out).args).toEqual([]);
    expect((await launch([], { npm_execpath: join(root, 'npm-cli.js') })).err).toBe('');
  });
});

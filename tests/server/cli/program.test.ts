import { Writable } from 'node:stream';
import { fileURLToPath } from 'node:url';
import { describe, expect, test } from 'vitest';
import { runCommandLine } from '../../../server/cli/program.ts';
import { testIo } from './test-io.ts';

async function run(...args: string[]) {
  const { io, out, err } = testIo();
  return { code: await runCommandLine(args, io), out: out(), err: err() };
}

const commands = [
  ['decode'],
  ['read'],
  ['simulate'],
  ['check'],
  ['serve'],
  ['station'],
  ['station', 'add'],
  ['station', 'list'],
  ['station', 'revoke'],
];

describe('help', () => {
  test('of the whole names every command', async () => {
    const { code, out, err } = await run('--help');
    expect(code).toBe(0);
    expect(err).toBe('');
    for (const [command] of commands) expect(out).toContain(`  ${command}`);
  });

  test.each(commands)('of %s %s', async (...command) => {
    const { code, out, err } = await run(...command, '--help');
    expect(code).toBe(0);
    expect(err).toBe('');
    expect(out).toContain(`Usage: fiveunit ${command.join(' ')}`);
  });

  test('comes by itself, as an error, without a command', async () => {
    const { code, out, err } = await run();
    expect(code).toBe(2);
    expect(out).toBe('');
    expect(err).toContain('Usage: fiveunit');
  });

  test('the version is a version', async () => {
    expect(await run('--version')).toMatchObject({ code: 0, out: expect.stringMatching(/^\d+\.\d+\.\d+\n$/) });
  });
});

describe('what is mistyped', () => {
  test.each([
    [['decoed', 'a.wav'], /no command "fiveunit decoed"\. Nearest: fiveunit decode \[options\] <file\.\.\.> - reads/],
    [['Serv'], /Nearest: fiveunit serve /],
    [['station', 'lst'], /Nearest: fiveunit station list /],
    [['frobnicate'], /There are decode, read, listen, simulate, check, serve, send, station\./],
    [['decode', '--misson', 'a.json', 'b.wav'], /unknown option '--misson' \(Did you mean --mission\?\)/],
    [['decode'], /missing required argument 'file'/],
    [['check', 'a.json', 'b.json'], /too many arguments/],
    [['decode', 'a.wav', '--format', 'xml'], /'xml' is invalid\. Allowed choices are text, ndjson, csv/],
    [['decode', 'a.wav', '--start', 'today'], /'today' is invalid\. A time is written as/],
    [['serve', '--port', '80000'], /'80000' is invalid\. A port is/],
    [['simulate', '--out', 'a.wav', '--eb-n0', 'loud'], /'loud' is invalid\. A number/],
  ])('%j is said so in one line', async (args, message) => {
    const { code, out, err } = await run(...args);
    expect(code).toBe(2);
    expect(out).toBe('');
    expect(err).toMatch(message);
    expect(err).toMatch(/^fiveunit: [^\n]+\n$/);
  });
});

test('a reader who has seen enough is no failure', async () => {
  const gone = Object.assign(new Error('write EPIPE'), { code: 'EPIPE' });
  const { io, err } = testIo({ stdout: new Writable({ write: (_chunk, _encoding, done) => done(gone) }) });
  const file = fileURLToPath(new URL('../../../samples/dunlin-1.json', import.meta.url));
  expect(await runCommandLine(['check', file], io)).toBe(0);
  expect(err()).toBe('');
});

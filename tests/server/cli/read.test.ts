import { writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, test } from 'vitest';
import { runCommandLine } from '../../../server/cli/program.ts';
import { temporaryDirectory } from '../support/directory.ts';
import { testIo } from './test-io.ts';

const mission = fileURLToPath(new URL('../../../samples/dunlin-1.json', import.meta.url));
const line = 'Q0DUN P 00042 7921 -0130 412 388 000 000 11 NOM B72E';

async function read(args: readonly string[], input = '') {
  const { io, out, err } = testIo({ input });
  return { code: await runCommandLine(['read', ...args], io), out: out(), err: err() };
}

const objects = (out: string) =>
  out
    .trimEnd()
    .split('\n')
    .map((each) => JSON.parse(each));

describe('read', () => {
  test('takes the text as one argument, as words, from a file or from standard input', async () => {
    const file = join(await temporaryDirectory(), 'line.txt');
    await writeFile(file, line);
    const results = await Promise.all([
      read([line, '--mission', mission]),
      read([...line.split(' '), '--mission', mission]),
      read([file, '--mission', mission]),
      read(['-', '--mission', mission], line),
      read(['--mission', mission], line),
    ]);
    for (const { code, out, err } of results) {
      expect(err).toBe('');
      expect(code).toBe(0);
      expect(out).toMatch(/Battery voltage +7\.92 V/);
    }
  });

  test('gives the objects that decode gives, never confirmed', async () => {
    const args = [line, '--mission', mission, '--format', 'ndjson', '--received', '2027-03-01T18:40:00Z'];
    const [text, frame, ...others] = objects((await read(args)).out);
    expect(others).toEqual([]);
    expect(text).toEqual({ type: 'text', file: null, assumptions: [] });
    expect(frame).toMatchObject({
      type: 'frame',
      mission: 'dunlin-1',
      frame: 'power',
      startSeconds: null,
      receivedAt: '2027-03-01T18:40:00.000Z',
      checksum: 'pass',
      trust: 'probable',
    });
  });

  test('says what it had to assume', async () => {
    const [text, frame] = objects((await read([line.toLowerCase(), '--mission', mission, '--format', 'ndjson'])).out);
    expect(text.assumptions.length).toBeGreaterThan(0);
    expect(frame.frame).toBe('power');
    expect((await read([line.toLowerCase(), '--mission', mission])).out).toMatch(/^# assumed: /);
  });

  test('of a text that fits nothing it says where it comes nearest', async () => {
    const { code, out, err } = await read(['HELLO WORLD', '--mission', mission]);
    expect(code).toBe(1);
    expect(out).toBe('');
    expect(err).toMatch(/^fiveunit: the text fits no frame[^\n]*\n$/);
  });

  test('shows codes that would paint a terminal as pictures', async () => {
    const { out } = await read([`${line}\n\x1b[2J`, '--mission', mission]);
    expect(out).not.toContain('\x1b');
  });

  test('needs a definition', async () => {
    expect(await read([line])).toMatchObject({ code: 2, err: expect.stringMatching(/needs --mission/) });
  });

  test('refuses what is no text', async () => {
    const file = join(await temporaryDirectory(), 'line.txt');
    await writeFile(file, Uint8Array.of(0xff, 0xfe, 0x41));
    expect(await read([file, '--mission', mission])).toMatchObject({
      code: 2,
      err: expect.stringMatching(/no UTF-8 text/),
    });
  });
});

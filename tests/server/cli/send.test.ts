import { chmod, mkdir, rename, writeFile } from 'node:fs/promises';
import { createServer } from 'node:http';
import { join } from 'node:path';
import { beforeEach, describe, expect, onTestFinished, test } from 'vitest';
import { encodeWav } from '../../../decoders/audio/wav-write.ts';
import { runCommandLine } from '../../../server/cli/program.ts';
import { follow, MEMORY_NAME } from '../../../server/cli/send/follow.ts';
import { portOf, putWren, stationKey, type TestApp, testApp } from '../support/app.ts';
import { temporaryDirectory } from '../support/directory.ts';
import { lineTo } from '../support/line.ts';
import { testIo } from './test-io.ts';

/** A short recording; another seed is another recording. */
function wav(seed: number, startedAt?: string): Uint8Array {
  const samples = Float32Array.from({ length: 800 }, (_, i) => Math.sin(i * seed) / 4);
  return encodeWav([samples], {
    sampleRateHz: 8000,
    format: 'pcm16',
    comment: 'a test',
    ...(startedAt === undefined ? {} : { startedAt }),
  });
}

let folder: string;

beforeEach(async () => {
  folder = await temporaryDirectory();
  await writeFile(join(folder, 'a_20240504T091207Z.wav'), wav(1));
  await writeFile(join(folder, 'b_20240504_101207.wav'), wav(2));
  await writeFile(join(folder, 'again.wav'), wav(1));
  await writeFile(join(folder, 'undated.wav'), wav(3));
  await writeFile(join(folder, 'note.txt'), 'no recording at all');
});

const path = (name: string): string => join(folder, name);

interface Place {
  readonly built: TestApp;
  readonly url: string;
  readonly key: string;
}

async function server(options: Parameters<typeof testApp>[0] = {}): Promise<Place> {
  const built = await testApp({ clock: Date.now, ...options });
  await putWren(built);
  const { authorization } = await stationKey(built, 'Q1LARK');
  return { built, url: `http://127.0.0.1:${await portOf(built)}`, key: authorization.replace('Bearer ', '') };
}

async function send(place: Pick<Place, 'url' | 'key'>, ...args: string[]) {
  const { io, out, err } = testIo({ env: { FIVEUNIT_KEY: place.key } });
  const code = await runCommandLine(['send', ...args, '--to', place.url], io);
  return { code, out: out(), err: err() };
}

const stored = async ({ built }: Place) =>
  (await built.app.inject({ url: '/api/recordings' })).json().recordings.reverse();

describe('fiveunit send', () => {
  test('sends recordings as the station whose key it is, each bytes once, and shows one table', async () => {
    const place = await server();
    const { code, out } = await send(place, path('a_20240504T091207Z.wav'), path('again.wav'), path('undated.wav'));
    expect(code).toBe(0);
    expect(out.split('\n').map((line) => line.replace(folder, '').split(/ {2,}/))).toEqual([
      ['FILE', 'BEGAN', 'SAID BY', 'MISSION', 'OUTCOME'],
      ['/a_20240504T091207Z.wav', '2024-05-04T09:12:07Z', 'file name', 'any', 'sent as r1'],
      ['/again.wav', 'not known', '-', 'any', `same bytes as ${path('a_20240504T091207Z.wav')}`],
      ['/undated.wav', 'not known', '-', 'any', 'sent as r2'],
      [''],
    ]);
    await place.built.jobs.idle();
    expect(await stored(place)).toMatchObject([
      { station: 'Q1LARK', vouched: true, mission: 'any', phase: 'flight' },
      { station: 'Q1LARK', vouched: true, startedAt: null },
    ]);
  });

  test('sends nothing twice: the same command is the retry', async () => {
    const place = await server();
    await send(place, path('undated.wav'));
    const { code, out } = await send(place, path('undated.wav'), path('b_20240504_101207.wav'));
    expect(code).toBe(0);
    expect(out).toMatch(/undated\.wav .* there already, r1\n/);
    expect(out).toMatch(/b_20240504_101207\.wav .* \(zone not stated\) .* sent as r2\n/);
    expect(await stored(place)).toHaveLength(2);
  });

  test('corrects the times of a group by zone and offset, and says what it knows of them', async () => {
    const place = await server();
    const files = [path('a_20240504T091207Z.wav'), path('b_20240504_101207.wav')];
    const claims = ['--mission', 'wren-1', '--phase', 'bench', '--time-base', 'gaps'];
    await send(place, ...files, ...claims, '--zone', '+02:00', '--offset', '-7');
    expect(await stored(place)).toMatchObject([
      { startedAt: '2024-05-04T09:12:00.000Z', startedAtSource: 'sender', timeAccuracySeconds: 1, mission: 'wren-1' },
      { startedAt: '2024-05-04T08:12:00.000Z', startedAtSource: 'sender', phase: 'bench', timeBase: 'gaps' },
    ]);
  });

  test('shows before it sends: times, copies, what is there, and sends nothing', async () => {
    const place = await server();
    await send(place, path('undated.wav'));
    const all = ['a_20240504T091207Z.wav', 'b_20240504_101207.wav', 'again.wav', 'undated.wav'].map(path);
    const { code, out, err } = await send(place, ...all, '--dry-run', '--start', '2024-05-04T09:00:00Z');
    expect(code).toBe(0);
    expect(out).toContain('2024-05-04T09:00:00Z  file name, corrected');
    expect(out).toContain('2024-05-04T10:00:00Z  file name, corrected');
    expect(out).toMatch(/would be sent\n/);
    expect(out).toMatch(/again\.wav .* same bytes as/);
    expect(out).toMatch(/undated\.wav .* there already, r1/);
    expect(err).toContain('names no time zone; UTC was taken');
    expect(await stored(place)).toHaveLength(1);
  });

  test('says which file is no recording or not there, sends the others, and ends with 2', async () => {
    const place = await server();
    const { code, out, err } = await send(place, path('note.txt'), path('gone.wav'), path('undated.wav'));
    expect(code).toBe(2);
    expect(err).toMatch(/note\.txt: The file is text, no recording/);
    expect(err).toMatch(/gone\.wav: there is no such file/);
    expect(out).toMatch(/undated\.wav .* sent as r1/);
    expect(out).toMatch(/note\.txt .* not sent: not-a-recording/);
  });

  test('refuses a time that cannot be, before anything goes out', async () => {
    const place = await server();
    const { code, err } = await send(place, path('undated.wav'), '--start', '2199-01-01T00:00:00Z');
    expect(code).toBe(2);
    expect(err).toMatch(/undated\.wav: it cannot have begun at 2199-01-01T00:00:00.000Z: that is after it was sent/);
    expect(await stored(place)).toEqual([]);
  });

  test('ends with 2 and one line where the key, the mission or the station is wrong', async () => {
    const place = await server();
    const file = path('undated.wav');
    const one = async (...args: string[]) => {
      const { code, err } = await send(place, file, ...args);
      expect(err.trim().split('\n')).toHaveLength(1);
      return [code, err];
    };
    expect(await one('--mission', 'heron-9')).toEqual([2, expect.stringContaining('there is no mission heron-9')]);
    expect(await one('--station', 'Q9MOCK')).toEqual([2, expect.stringContaining('the key belongs to Q1LARK')]);
    expect(await send({ ...place, key: 'x'.repeat(40) }, file)).toMatchObject({ code: 2 });
    expect(await send({ ...place, key: '' }, file)).toMatchObject({
      code: 2,
      err: expect.stringContaining('say with --station who heard it'),
    });
    expect(await stored(place)).toEqual([]);
  });

  test('takes the key from a file', async () => {
    const place = await server();
    await writeFile(path('key'), `${place.key}\n`);
    await chmod(path('key'), 0o600);
    const { code } = await send({ ...place, key: 'not used' }, path('undated.wav'), '--key-file', path('key'));
    expect(code).toBe(0);
  });

  test('ends with 1 when the server cannot be reached', async () => {
    const { code, err } = await send({ url: 'http://127.0.0.1:9', key: 'k'.repeat(40) }, path('undated.wav'));
    expect([code, err]).toEqual([1, expect.stringContaining('http://127.0.0.1:9 was not reached')]);
  });

  test('tries again when it is cut off, and the recording is there once', async () => {
    const place = await server();
    let cuts = 2;
    // A line that breaks in the midst of an upload, twice.
    const url = await lineTo(place.built, (request) => {
      if (request.method !== 'POST' || cuts === 0) return false;
      cuts--;
      request.once('data', () => request.socket.destroy());
      return true;
    });
    const { code, out, err } = await send({ ...place, url }, path('undated.wav'));
    expect([code, cuts]).toEqual([0, 0]);
    expect(err.match(/trying again/g)).toHaveLength(2);
    expect(out).toMatch(/sent as r1/);
    expect(await stored(place)).toHaveLength(1);
  });
});

describe('fiveunit send --follow', () => {
  test('takes a file when its size rests, once, and remembers it', async () => {
    const inbox = join(await temporaryDirectory(), 'inbox');
    await mkdir(inbox);
    const taken: string[] = [];
    const run = async (until: () => boolean): Promise<void> => {
      const stop = new AbortController();
      const { io } = testIo();
      const following = follow(
        io,
        inbox,
        async (paths) => {
          taken.push(...paths);
          return 0;
        },
        { everySeconds: 0.01, restSeconds: 0.05, signal: stop.signal },
      );
      await expect.poll(until, { timeout: 5000 }).toBe(true);
      stop.abort();
      expect(await following).toBe(0);
    };
    await writeFile(join(inbox, 'one.wav'), wav(1));
    await writeFile(join(inbox, 'two.wav.part'), wav(2));
    await writeFile(join(inbox, 'empty.wav'), '');
    await run(() => taken.length === 1);
    expect(taken).toEqual([join(inbox, 'one.wav')]);
    await rename(join(inbox, 'two.wav.part'), join(inbox, 'two.wav'));
    await run(() => taken.length === 2);
    expect(taken.slice(1)).toEqual([join(inbox, 'two.wav')]);
    expect(MEMORY_NAME.startsWith('.')).toBe(true);
  });

  test('waits for a server that is away when it begins, and says so', async () => {
    const inbox = await temporaryDirectory();
    const { io, err } = testIo({ env: { FIVEUNIT_KEY: 'k'.repeat(40) } });
    const ended = runCommandLine(['send', '--to', 'http://127.0.0.1:9', '--follow', inbox], io);
    await expect
      .poll(err, { timeout: 10_000 })
      .toMatch(/not reached.*; waiting for it, trying again in 1 s\n.*in 2 s\n/s);
    process.emit('SIGTERM');
    expect(await ended).toBe(1);
  });

  test('begins when the server is there', async () => {
    const place = await server();
    let away = 2;
    const gate = createServer(async (request, response) => {
      if (away > 0) {
        away--;
        response.writeHead(503).end();
        return;
      }
      const { authorization = '' } = request.headers;
      const answer = await place.built.app.inject({ url: request.url ?? '/', headers: { authorization } });
      response.writeHead(answer.statusCode, { 'content-type': 'application/json' }).end(answer.payload);
    });
    await new Promise<void>((listening) => gate.listen(0, '127.0.0.1', listening));
    onTestFinished(() => void gate.close());
    const address = gate.address();
    const port = typeof address === 'object' && address !== null ? address.port : 0;
    const { io, err } = testIo({ env: { FIVEUNIT_KEY: place.key } });
    const inbox = await temporaryDirectory();
    const ended = runCommandLine(['send', '--to', `http://127.0.0.1:${port}`, '--follow', inbox], io);
    await expect.poll(err, { timeout: 10_000 }).toMatch(/trying again in 2 s\n.*following /s);
    process.emit('SIGTERM');
    expect([await ended, away]).toEqual([0, 0]);
  });

  test('goes with no dry run, and ends where there is no folder', async () => {
    const { code, err } = await send(
      { url: 'http://127.0.0.1:9', key: 'k'.repeat(40) },
      '--follow',
      path('a'),
      '--dry-run',
    );
    expect([code, err]).toEqual([2, expect.stringContaining('--follow goes with neither')]);
    const { io } = testIo();
    await expect(follow(io, path('nowhere'), async () => 0, { signal: new AbortController().signal })).rejects.toThrow(
      /nowhere: there is no such file/,
    );
  });
});

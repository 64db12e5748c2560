import { copyFile, readdir, readFile, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { beforeEach, describe, expect, test, vi } from 'vitest';
import { encodeWav } from '../../../../decoders/audio/wav-write.ts';
import { findBursts } from '../../../../decoders/cut-outs/cut-outs.ts';
import { runCommandLine } from '../../../../server/cli/program.ts';
import { SPOOL_NAME } from '../../../../server/cli/send/cut-out-spool.ts';
import { portOf, stationKey, TEAM, type TestApp, testApp } from '../../support/app.ts';
import { temporaryDirectory } from '../../support/directory.ts';
import { lineTo } from '../../support/line.ts';
import { RealDecoding } from '../../support/real-decoding.ts';
import { testIo } from '../test-io.ts';

// as it is, but how often it is called can be told
vi.mock('../../../../decoders/cut-outs/cut-outs.ts', { spy: true });

const samples = join(import.meta.dirname, '../../../../samples');
const NAME = 'pass_20240504T091207Z.wav';
const { expected } = JSON.parse(await readFile(join(samples, 'dunlin-three.expected.json'), 'utf8'));
const texts: string[] = expected.frames.map(({ text }: { text: string }) => text);

let folder: string;
let pass: string;

beforeEach(async () => {
  folder = await temporaryDirectory();
  pass = join(folder, NAME);
  await copyFile(join(samples, 'dunlin-three.wav'), pass);
  vi.mocked(findBursts).mockClear();
});

const decoded = (): number => vi.mocked(findBursts).mock.calls.length;
const flacsKept = async (): Promise<number> =>
  (await readdir(join(folder, SPOOL_NAME))).filter((name) => name.endsWith('.flac')).length;

interface Place {
  readonly built: TestApp;
  readonly url: string;
  readonly key: string;
}

async function server(): Promise<Place> {
  const built = await testApp({ clock: Date.now, decoding: new RealDecoding() });
  const definition = JSON.parse(await readFile(join(samples, 'dunlin-1.json'), 'utf8'));
  await built.app.inject({ method: 'PUT', url: '/api/missions/dunlin-1', headers: TEAM, payload: definition });
  const { authorization } = await stationKey(built, 'Q1LARK');
  return { built, url: `http://127.0.0.1:${await portOf(built)}`, key: authorization.replace('Bearer ', '') };
}

async function send({ url, key }: Pick<Place, 'url' | 'key'>, ...args: string[]) {
  const { io, out, err } = testIo({ env: { FIVEUNIT_KEY: key } });
  const code = await runCommandLine(['send', ...args, '--to', url], io);
  return { code, out: out(), err: err() };
}

async function stored({ built, key }: Place) {
  const headers = { authorization: `Bearer ${key}` };
  return (await built.app.inject({ url: '/api/recordings', headers })).json().recordings.reverse();
}

async function framesAt({ built }: Place, phase = 'rehearsal'): Promise<string[]> {
  const { frames } = (await built.app.inject({ url: `/api/missions/dunlin-1/frames?phase=${phase}` })).json();
  return frames.map(({ text }: { text: string }) => text).reverse();
}

describe('fiveunit send --frames-only', () => {
  test('sends the bursts and not the whole: the server reads the same frames, each at its time', async () => {
    const place = await server();
    const { code, out } = await send(place, pass, '--frames-only');
    expect(code).toBe(0);
    expect(out).toMatch(/ {2}2024-05-04T09:12:07Z {2}file name {2}any {6}3 cut out and sent: r1, r2, r3\n/);
    await place.built.jobs.idle();
    const recordings = await stored(place);
    expect(recordings).toMatchObject([
      { station: 'Q1LARK', vouched: true, frames: 1, startedAtSource: 'file name', timeAccuracySeconds: 1 },
      { frames: 1 },
      { frames: 1, fileName: expect.stringMatching(/^pass_20240504T091207Z at \d+ s\.flac$/) },
    ]);
    for (const { startedAt, cutOut } of recordings) {
      const seconds = (Date.parse(startedAt) - Date.parse('2024-05-04T09:12:07Z')) / 1000;
      expect(seconds).toBeCloseTo(cutOut.source.startSeconds, 2);
      expect(cutOut).toMatchObject({ software: expect.stringMatching(/^fiveunit \d/), bursts: 1 });
      expect(cutOut.readAgain.agreeing).toBeGreaterThan(0.99 * cutOut.readAgain.elements);
    }
    expect(await framesAt(place)).toEqual(texts);
    const whole = (await readFile(pass)).length;
    expect(recordings.reduce((sum: number, { bytes }: { bytes: number }) => sum + bytes, 0)).toBeLessThan(whole);
  });

  test.each(['mp3', 'ogg', 'opus'])('sends the bursts of a recording as %s', async (kind) => {
    const place = await server();
    const coded = join(folder, `pass_20240504T091207Z.${kind}`);
    await copyFile(join(import.meta.dirname, `../../../reference/audio/dunlin-three.${kind}`), coded);
    const { code, out } = await send(place, coded, '--frames-only');
    expect([code, out]).toEqual([0, expect.stringContaining('3 cut out and sent: r1, r2, r3')]);
    await place.built.jobs.idle();
    // no codec keeps the mark by which the recording says that it is simulated
    expect(await framesAt(place, 'flight')).toEqual(texts);
  });

  test('sends nothing twice, neither cut-outs nor what is there whole', async () => {
    const place = await server();
    await send(place, pass, '--frames-only');
    const again = await send(place, pass, '--frames-only');
    expect([again.code, again.out]).toEqual([0, expect.stringContaining('3 there already: r1, r2, r3')]);
    expect(decoded()).toBe(1);
    await send(place, pass);
    const whole = await send(place, pass, '--frames-only');
    expect(whole.out).toContain('there already whole, r4');
    expect(await stored(place)).toHaveLength(4);
  });

  test('goes on where the line broke: only what is missing is decoded or sent', async () => {
    const place = await server();
    const other = join(folder, 'other.wav');
    await copyFile(join(samples, 'dunlin-power.wav'), other);
    let posts = 0;
    // The first cut-out gets through, the others do not.
    const url = await lineTo(place.built, (request) => {
      if (request.method !== 'POST' || ++posts === 1) return false;
      request.socket.destroy();
      return true;
    });
    const cut = await send({ ...place, url }, pass, '--frames-only', '--tries', '1');
    expect([cut.code, cut.out]).toEqual([
      1,
      expect.stringContaining('1 cut out and sent, 2 not sent: unreachable: r1'),
    ]);
    expect([decoded(), await flacsKept()]).toEqual([1, 2]);
    const { code, out } = await send(place, pass, other, '--frames-only');
    expect([code, out]).toEqual([0, expect.stringContaining('2 cut out and sent, 1 there already: r1, r2, r3')]);
    expect([decoded(), await flacsKept()]).toEqual([2, 0]);
    await place.built.jobs.idle();
    expect(await framesAt(place)).toEqual(expect.arrayContaining(texts));
    for (const { cutOut } of await stored(place)) expect(cutOut.readAgain.agreeing).toBe(cutOut.readAgain.elements);
  });

  test('decodes again what another server lacks, or what is looked for by another definition', async () => {
    const place = await server();
    await send(place, pass, '--frames-only');
    const elsewhere = await server();
    expect((await send(elsewhere, pass, '--frames-only')).out).toContain('3 cut out and sent: r1, r2, r3');
    expect(decoded()).toBe(2);
    const { payload } = await place.built.app.inject({ url: '/api/missions/dunlin-1' });
    const definition = { ...JSON.parse(payload), name: 'Dunlin-1 b' };
    const headers = { ...TEAM, 'if-match': '*' };
    await place.built.app.inject({ method: 'PUT', url: '/api/missions/dunlin-1', headers, payload: definition });
    expect((await send(place, pass, '--frames-only')).out).toContain('3 there already');
    expect(decoded()).toBe(3);
  });

  test('shows before it sends what would be cut out, and sends nothing', async () => {
    const place = await server();
    await copyFile(pass, join(folder, 'again.wav'));
    const { code, out } = await send(place, pass, join(folder, 'again.wav'), '--frames-only', '--dry-run');
    expect(code).toBe(0);
    expect(out).toMatch(/probably dunlin-1 {2}3 would be cut out and sent\n/);
    expect(out).toContain('same bytes as');
    expect(await stored(place)).toEqual([]);
  });

  test('says of a recording without bursts that nothing was sent, and of one that it cannot read why', async () => {
    const place = await server();
    const silent = join(folder, 'silent.wav');
    await writeFile(silent, encodeWav(new Float32Array(80_000), { sampleRateHz: 8000, format: 'pcm16' }));
    const video = join(folder, 'broken.mp4');
    await writeFile(video, Buffer.concat([Buffer.from('\0\0\0\x18ftypmp42'), Buffer.alloc(200)]));
    const { code, out, err } = await send(place, silent, video, pass, '--frames-only');
    expect(code).toBe(1);
    expect(out).toMatch(/silent\.wav .* no burst in it, nothing sent\n/);
    expect(out).toMatch(/broken\.mp4 .* not sent: (unread-container|ffmpeg-refused)\n/);
    expect(out).toMatch(/3 cut out and sent/);
    expect((await send(place, silent, '--frames-only')).out).toContain('no burst in it, nothing sent');
    expect(decoded()).toBe(3);
    expect(err).toMatch(/broken\.mp4: The file is MPEG-4/);
  });
});

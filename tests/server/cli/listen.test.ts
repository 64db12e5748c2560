import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { RecordingReader } from '../../../decoders/audio/open.ts';
import { packSamples } from '../../../decoders/audio/wav-write.ts';
import { runCommandLine } from '../../../server/cli/program.ts';
import { bandOf, bandTexts } from '../../decoders/support/band.ts';
import { portOf, stationKey, TEAM, type TestApp, testApp } from '../support/app.ts';
import { temporaryDirectory } from '../support/directory.ts';
import { inlineStreams } from '../support/inline-streams.ts';
import { testIo } from './test-io.ts';

const SAMPLES = join(process.cwd(), 'samples');
const MISSION = join(SAMPLES, 'dunlin-1.json');
const { expected } = JSON.parse(readFileSync(join(SAMPLES, 'dunlin-power.expected.json'), 'utf8'));
const [{ text: TEXT }] = expected.frames;

/** The samples of a sample recording, bare. */
function bare(format: 'pcm16' | 'float32'): { bytes: Uint8Array; rate: number } {
  const reader = new RecordingReader();
  const parts: Uint8Array[] = [];
  const take: Parameters<typeof reader.push>[1] = ({ channels, frames }) => {
    parts.push(packSamples([channels[0].slice(0, frames)], frames, format));
  };
  reader.push(readFileSync(join(SAMPLES, 'dunlin-power.wav')), take);
  reader.end(take);
  return { bytes: Buffer.concat(parts), rate: reader.info?.sampleRateHz ?? 0 };
}

const { bytes, rate } = bare('pcm16');
const RATE = ['--rate', String(rate)];

describe('listening to standard input', () => {
  test('prints characters as they come, then the burst and its frame', async () => {
    const { io, out, err } = testIo({ input: bytes });
    expect(await runCommandLine(['listen', ...RATE, '--mission', MISSION], io)).toBe(0);
    expect(err()).toBe('');
    const [provisional, about, text, frame] = out().split('\n');
    expect(provisional).toBe(`# provisional: ${TEXT}`);
    expect(about).toContain('45.4');
    expect(text).toContain(TEXT);
    expect(frame).toContain(`dunlin-1 power: ${TEXT}`);
  });

  test('as objects, guesses told apart from what stands; other encodings alike', async () => {
    const float = bare('float32');
    const { io, out } = testIo({ input: float.bytes });
    const args = ['listen', ...RATE, '--encoding', 'f32le', '--mission', MISSION, '--format', 'ndjson'];
    expect(await runCommandLine(args, io)).toBe(0);
    const records = out()
      .trim()
      .split('\n')
      .map((line) => JSON.parse(line));
    const types = [...new Set(records.map(({ type }) => type))];
    expect(types).toEqual(['acquired', 'character', 'provisional-frame', 'released', 'burst', 'frame']);
    expect(records.at(-1)).toMatchObject({ type: 'frame', mission: 'dunlin-1', text: TEXT, trust: 'confirmed' });
    expect(Date.now() - Date.parse(records.at(-1).receivedAt)).toBeLessThan(600_000);
    const characters = records.filter(({ type }) => type === 'character');
    expect(characters.map(({ text }) => text).join('')).toBe(TEXT);
    expect(characters.every(({ provisional }) => provisional)).toBe(true);
  });

  test('says when nothing was heard, and what is wrong', async () => {
    const quiet = testIo({ input: new Uint8Array(2 * rate) });
    expect(await runCommandLine(['listen', ...RATE], quiet.io)).toBe(1);
    const slow = testIo();
    expect(await runCommandLine(['listen', '--rate', '4000'], slow.io)).toBe(2);
    expect(slow.err()).toContain('8000 to 192000');
    const odd = testIo();
    expect(await runCommandLine(['listen', '--encoding', 'mp3'], odd.io)).toBe(2);
  });
});

describe('listening to a complex band', () => {
  const texts = bandTexts(1);
  const { band } = bandOf({
    texts,
    modulation: { kind: 'fsk' },
    sampleRateHz: 16_000,
    cn0DbHz: 40,
    carrierHz: 145_902_000,
    centerHz: 145.9e6,
  });
  const listen = async (input: Uint8Array, ...args: string[]) => {
    const { io, out, err } = testIo({ input });
    const code = await runCommandLine(['listen', '--rate', '16000', '--iq', ...args], io);
    return { code, out: out(), err: err() };
  };

  test.each([
    ['s16le', 'pcm16'],
    ['cf32_le', 'float32'],
  ] as const)('of %s prints its bursts with their carrier', async (encoding, format) => {
    const input = Buffer.concat([...band.samples(format)]);
    const { code, out } = await listen(input, '145900000', '--encoding', encoding, '--format', 'ndjson');
    expect(code).toBe(0);
    const [burst] = out
      .trim()
      .split('\n')
      .map((line) => JSON.parse(line));
    expect(burst).toMatchObject({ type: 'burst', modulation: 'fsk', text: expect.stringContaining(texts[0]) });
    expect(Math.abs(burst.carrierAbsoluteHz - 145_902_000)).toBeLessThan(5);
  });

  test('too wide to be searched as a whole says which part is, once', async () => {
    const { io, err } = testIo({ input: new Uint8Array(40_000) });
    const code = await runCommandLine(['listen', '--rate', '2400000', '--iq', '145900000'], io);
    expect([code, err().match(/only 192 kHz about 145\.900 MHz were searched/g)?.length]).toEqual([1, 1]);
  });

  test('is not sent, and says which encodings there are', async () => {
    expect((await listen(new Uint8Array(8), '--to', 'http://127.0.0.1:9')).err).toContain('record I/Q');
    expect((await listen(new Uint8Array(8), '--encoding', 'alaw')).err).toContain('cf32_le');
    const { io, err } = testIo({ input: new Uint8Array(8) });
    expect(await runCommandLine(['listen', '--encoding', 'cu8'], io)).toBe(2);
    expect(err()).toContain('--iq');
  });
});

/** A server that knows the sample mission, and the environment of a station that has a key. */
async function server(): Promise<{ built: TestApp; url: string; env: Record<string, string> }> {
  const built = await testApp({ streams: inlineStreams, clock: Date.now });
  const payload = JSON.parse(readFileSync(MISSION, 'utf8'));
  await built.app.inject({ method: 'PUT', url: '/api/missions/dunlin-1', headers: TEAM, payload });
  const { authorization } = await stationKey(built, 'Q1LARK');
  const url = `http://127.0.0.1:${await portOf(built)}`;
  return { built, url, env: { FIVEUNIT_KEY: authorization.replace('Bearer ', '') } };
}

const recordings = async ({ app }: TestApp) => (await app.inject({ url: '/api/recordings' })).json().recordings;

describe('with a server', () => {
  test('which is reached, the burst becomes a recording there, once', async () => {
    const { built, url, env } = await server();
    const spool = join(await temporaryDirectory(), 'spool');
    const { io, err } = testIo({ input: bytes, env });
    const args = ['listen', ...RATE, '--mission', MISSION, '--to', url, '--spool', spool];
    expect(await runCommandLine(args, io)).toBe(0);
    expect(err()).toContain('connected');
    expect(await recordings(built)).toMatchObject([{ mission: 'dunlin-1', station: 'Q1LARK', vouched: true }]);
    expect(() => readdirSync(spool)).toThrow('ENOENT');
  });

  test('which is not, the burst is kept in a folder and sent when it is', async () => {
    const spool = join(await temporaryDirectory(), 'spool');
    const { built, url, env } = await server();
    const args = ['listen', ...RATE, '--mission', MISSION, '--spool', spool];
    const away = testIo({ input: bytes, env });
    expect(await runCommandLine([...args, '--to', 'http://127.0.0.1:9'], away.io)).toBe(1);
    expect(away.err()).toContain('bursts wait in');
    expect(readdirSync(spool)).toMatchObject([expect.stringMatching(/^heard-.*\.wav$/)]);
    const back = testIo({ input: new Uint8Array(2), env });
    await runCommandLine([...args, '--to', url], back.io);
    expect(readdirSync(spool)).toEqual([]);
    expect(await recordings(built)).toMatchObject([
      { mission: 'dunlin-1', station: 'Q1LARK', startedAtSource: 'sender' },
    ]);
  });

  test('which refuses the key, the burst is kept and the reason said', async () => {
    const { built, url } = await server();
    const spool = join(await temporaryDirectory(), 'spool');
    const { io, err } = testIo({ input: bytes, env: {} });
    const args = ['listen', ...RATE, '--mission', MISSION, '--to', url, '--spool', spool];
    expect(await runCommandLine(args, io)).toBe(1);
    expect(err()).toContain('the server answered 401');
    expect(await recordings(built)).toEqual([]);
    expect(readdirSync(spool)).toHaveLength(1);
  });
});

import { readFileSync } from 'node:fs';
import { Value } from 'typebox/value';
import { describe, expect, onTestFinished, test, vi } from 'vitest';
import { WebSocket } from 'ws';
import { packSamples } from '../../../../decoders/audio/wav-write.ts';
import { addNoiseAtEbN0 } from '../../../../decoders/simulate/channel.ts';
import { Random } from '../../../../decoders/simulate/random.ts';
import { keyBurst } from '../../../../decoders/simulate/transmitter.ts';
import { encode } from '../../../../decoders/teletype/alphabets.ts';
import { ListenNote } from '../../../../server/http/messages.ts';
import type { StreamRunner } from '../../../../server/listen/stream-runner.ts';
import { decodeBytes } from '../../../decoders/support/wav.ts';
import { portOf, putWren, stationKey, type TestApp, testApp } from '../../support/app.ts';
import { inlineStreams } from '../../support/inline-streams.ts';
import { powerText, wrenMission } from '../../support/wren.ts';

const RATE = 8000;
const BAUD = 45.45;
const HEADER = { type: 'listen', rate: RATE, encoding: 's16le', mission: 'wren-1' } as const;
const STARTED = '2031-05-04T08:50:00.000Z';
/** Well within what may be on its way. */
const BLOCK_BYTES = 2 * RATE;

interface Client {
  readonly socket: WebSocket;
  readonly notes: ListenNote[];
  say(message: object): void;
  /** The first note of a kind, as soon as it has come. */
  told<T extends ListenNote['type']>(type: T): Promise<Extract<ListenNote, { type: T }>>;
  closed(): Promise<void>;
}

async function connect(built: TestApp, headers: Record<string, string>, autoPong = true): Promise<Client> {
  const socket = new WebSocket(`ws://127.0.0.1:${await portOf(built)}/api/listen`, { headers, autoPong });
  onTestFinished(() => socket.terminate());
  const notes: ListenNote[] = [];
  const faults: string[] = [];
  socket.on('message', (data) => {
    const note: unknown = JSON.parse(String(data));
    if (Value.Check(ListenNote, note)) notes.push(note);
    else faults.push(String(data));
  });
  await new Promise((resolve, reject) => {
    socket.on('open', resolve);
    socket.on('error', reject);
  });
  const isOf =
    <T extends ListenNote['type']>(type: T) =>
    (note: ListenNote): note is Extract<ListenNote, { type: T }> =>
      note.type === type;
  return {
    socket,
    notes,
    say: (message) => socket.send(JSON.stringify(message)),
    async told(type) {
      await expect.poll(() => notes.some(isOf(type)), { timeout: 20_000 }).toBe(true);
      expect(faults).toEqual([]);
      const found = notes.find(isOf(type));
      if (found === undefined) throw new Error(`no ${type}`);
      return found;
    },
    closed: () => expect.poll(() => socket.readyState, { timeout: 20_000 }).toBe(WebSocket.CLOSED),
  };
}

/** One frame of `wren-1` between silences, as bytes of 16-bit samples. */
function stream(): Buffer {
  const burst = keyBurst(encode(powerText(), 'ita2', { startShift: 'unknown' }), {
    sampleRateHz: RATE,
    baud: BAUD,
    stopElements: 1.5,
    markHz: 1275,
    spaceHz: 1445,
    amplitude: 0.2,
    leadMarkElements: 9,
    tailMarkElements: 9,
  });
  const samples = new Float32Array(burst.length + 6 * RATE);
  samples.set(burst, 3 * RATE);
  addNoiseAtEbN0(samples, { ebN0Db: 13, baud: BAUD, sampleRateHz: RATE, signalPower: 0.02, random: new Random(1) });
  return Buffer.from(packSamples([samples], samples.length, 'pcm16'));
}

/** Sends samples no faster than they are acknowledged. */
async function send(client: Client, bytes: Buffer, from = 0): Promise<void> {
  const { window, samples } = await client.told('ready');
  let acknowledged = samples;
  for (let at = from; at < bytes.length; at += BLOCK_BYTES) {
    const block = bytes.subarray(at, at + BLOCK_BYTES);
    await expect
      .poll(() => {
        for (const note of client.notes) if (note.type === 'ack') acknowledged = Math.max(acknowledged, note.samples);
        return (at + block.length) / 2 - acknowledged <= window;
      })
      .toBe(true);
    client.socket.send(block);
  }
}

async function listening(
  limits = {},
  streams = inlineStreams,
  clock?: () => number,
): Promise<{ built: TestApp; key: { authorization: string } }> {
  const built = await testApp({ streams, limits, ...(clock === undefined ? {} : { clock }) });
  await putWren(built);
  return { built, key: await stationKey(built, 'Q1LARK') };
}

/** How much was acknowledged, as soon as it is so much. */
async function lastAck({ notes }: Client, samples: number): Promise<number> {
  const most = () => Math.max(0, ...notes.map((note) => (note.type === 'ack' ? note.samples : 0)));
  await expect.poll(most, { timeout: 20_000 }).toBeGreaterThanOrEqual(samples);
  return most();
}

const recordings = async ({ app }: TestApp) => (await app.inject({ url: '/api/recordings' })).json().recordings;

describe('a station that sends what it hears', () => {
  test('is told characters and frames, and its bursts become recordings', async () => {
    const { built, key } = await listening();
    const client = await connect(built, key);
    client.say({ ...HEADER, startedAt: STARTED });
    await send(client, stream());
    client.say({ type: 'end' });
    await client.told('ended');
    await client.closed();
    const text = client.notes.flatMap((note) => (note.type === 'character' ? [note.text] : [])).join('');
    expect(text).toBe(powerText());
    const { frames, receptions } = await client.told('burst');
    expect(frames).toMatchObject([{ mission: 'wren-1', frame: 'power', text: powerText(), trust: 'confirmed' }]);
    expect(receptions).toEqual([0]);
    const { recording, startedAt } = await client.told('kept');
    const [kept, ...others] = await recordings(built);
    expect(others).toEqual([]);
    expect(kept).toMatchObject({ id: recording, mission: 'wren-1', station: 'Q1LARK', vouched: true, startedAt });
    expect(Date.parse(startedAt) - Date.parse(STARTED)).toBeGreaterThan(500);
    // the file itself holds the frame, and says when it began
    const { bursts, summary } = decodeBytes(readFileSync(built.services.files.pathOf(kept.sha256)), {
      missions: [wrenMission()],
    });
    expect(bursts.map(({ frames: found }) => found.map(({ frame }) => frame.text))).toEqual([[powerText()]]);
    expect(Math.abs(Date.parse(summary.info.startedAt?.iso ?? '') - Date.parse(startedAt))).toBeLessThan(3);
  });

  test('goes on after a cut where it was, as if there had been none', async () => {
    const { built, key } = await listening();
    const bytes = stream();
    const half = BLOCK_BYTES * Math.floor(bytes.length / BLOCK_BYTES / 2);
    const first = await connect(built, key);
    first.say(HEADER);
    const { session, samples } = await first.told('ready');
    expect(samples).toBe(0);
    await send(first, bytes.subarray(0, half));
    await expect.poll(() => first.notes.some((note) => note.type === 'ack' && note.samples === half / 2)).toBe(true);
    first.socket.terminate();
    const second = await connect(built, key);
    second.say({ ...HEADER, session });
    const ready = await second.told('ready');
    expect(ready).toMatchObject({ session, samples: half / 2 });
    await send(second, bytes, 2 * ready.samples);
    second.say({ type: 'end' });
    await second.told('ended');
    expect((await second.told('burst')).text).toContain('Q0WRN P');
    expect(await recordings(built)).toHaveLength(1);
  });

  test('comes again before its first connection is known to be dead, and takes its place', async () => {
    const { built, key } = await listening();
    const first = await connect(built, key);
    first.say(HEADER);
    await send(first, Buffer.alloc(BLOCK_BYTES));
    await first.told('ack');
    const { session } = await first.told('ready');
    const second = await connect(built, key);
    second.say({ ...HEADER, session });
    expect(await second.told('ready')).toMatchObject({ session, samples: RATE });
    // what the first still says is not heard
    if (first.socket.readyState === WebSocket.OPEN) first.socket.send(Buffer.alloc(BLOCK_BYTES));
    await first.closed();
    second.socket.send(Buffer.alloc(BLOCK_BYTES));
    expect(await lastAck(second, 2 * RATE)).toBe(2 * RATE);
  });

  test('finds its session ended when it stays away too long; what it had heard is kept', async () => {
    vi.useFakeTimers({ toFake: ['setInterval'] });
    onTestFinished(() => void vi.useRealTimers());
    let now = Date.parse('2031-05-04T09:00:00Z');
    const { built, key } = await listening({}, inlineStreams, () => now);
    const bytes = stream();
    const first = await connect(built, key);
    first.say({ ...HEADER, startedAt: STARTED });
    await send(first, bytes);
    await lastAck(first, bytes.length / 2);
    const { session } = await first.told('ready');
    first.socket.terminate();
    await expect
      .poll(async () => {
        now += 60_000;
        vi.advanceTimersByTime(10_000);
        return (await recordings(built)).length;
      })
      .toBe(1);
    const late = await connect(built, key);
    late.say({ ...HEADER, session });
    const ready = await late.told('ready');
    expect(ready.session).not.toBe(session);
    expect(ready.samples).toBe(0);
  });

  test('is let go when its network went without a word, and its session waits for it', async () => {
    vi.useFakeTimers({ toFake: ['setInterval'] });
    onTestFinished(() => void vi.useRealTimers());
    const { built, key } = await listening();
    const gone = await connect(built, key, false);
    const there = await connect(built, key);
    for (const { say } of [gone, there]) say({ ...HEADER, startedAt: STARTED });
    const { session } = await gone.told('ready');
    await there.told('ready');
    const pinged = new Promise((resolve) => there.socket.once('ping', resolve));
    vi.advanceTimersByTime(30_000);
    await pinged;
    there.socket.send(Buffer.alloc(BLOCK_BYTES));
    await there.told('ack');
    vi.advanceTimersByTime(30_000);
    await gone.closed();
    expect(there.socket.readyState).toBe(WebSocket.OPEN);
    const again = await connect(built, key);
    again.say({ ...HEADER, session });
    expect((await again.told('ready')).session).toBe(session);
  });
});

describe('the door', () => {
  test('is open to keys only, and not to pages of others', async () => {
    const { built, key } = await listening();
    await expect(connect(built, {})).rejects.toThrow('401');
    await expect(connect(built, { ...key, origin: 'https://elsewhere.example' })).rejects.toThrow('403');
    const own = await connect(built, { ...key, origin: `http://127.0.0.1:${await portOf(built)}` });
    own.say(HEADER);
    expect((await own.told('ready')).samples).toBe(0);
  });

  test.each([
    [{ ...HEADER, rate: 4000 }, 'request-malformed'],
    [{ ...HEADER, encoding: 'mp3' }, 'request-malformed'],
    [{ ...HEADER, mission: 'nobody-1' }, 'mission-unknown'],
    [{ ...HEADER, station: 'Q2OWL' }, 'station-mismatch'],
    [{ ...HEADER, startedAt: '1950-01-01T00:00:00Z' }, 'time-impossible'],
    [{ ...HEADER, more: 1 }, 'request-malformed'],
    [{ type: 'end' }, 'request-malformed'],
    ['{', 'body-not-json'],
  ])('refuses %j: %s', async (header, code) => {
    const { built, key } = await listening();
    const client = await connect(built, key);
    client.socket.send(typeof header === 'string' ? header : JSON.stringify(header));
    expect((await client.told('refused')).code).toBe(code);
    await client.closed();
    expect(built.complaints).toEqual([]);
  });

  test('refuses samples without a header, and parts of samples', async () => {
    const { built, key } = await listening();
    const early = await connect(built, key);
    early.socket.send(Buffer.alloc(100));
    expect((await early.told('refused')).detail).toContain('header');
    const odd = await connect(built, key);
    odd.say(HEADER);
    odd.socket.send(Buffer.alloc(101));
    expect((await odd.told('refused')).detail).toContain('whole samples');
  });

  test('refuses more than may be on their way undecoded', async () => {
    const streams: StreamRunner = { begin: () => ({ push: () => {}, end: () => {}, stop: () => {} }) };
    const { built, key } = await listening({}, streams);
    const eager = await connect(built, key);
    eager.say(HEADER);
    await eager.told('ready');
    for (let n = 0; n < 25; n++) eager.socket.send(Buffer.alloc(BLOCK_BYTES));
    expect((await eager.told('refused')).code).toBe('too-many-requests');
  });

  test('lets in no more streams than the limits, and nobody into the session of another', async () => {
    const { built, key } = await listening({ listenStreamsPerStation: 1 });
    const first = await connect(built, key);
    first.say(HEADER);
    const { session } = await first.told('ready');
    const second = await connect(built, key);
    second.say(HEADER);
    expect((await second.told('refused')).code).toBe('too-many-requests');
    const owl = await connect(built, await stationKey(built, 'Q2OWL'));
    owl.say({ ...HEADER, session });
    expect((await owl.told('ready')).session).not.toBe(session);
  });
});

test('asked for as a page, it says that it speaks WebSocket', async () => {
  const { built, key } = await listening();
  const { status, code } = (await built.app.inject({ url: '/api/listen', headers: key })).json();
  expect({ status, code }).toEqual({ status: 426, code: 'upgrade-needed' });
});

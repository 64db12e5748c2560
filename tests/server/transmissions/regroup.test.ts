import { Value } from 'typebox/value';
import { describe, expect, onTestFinished, test } from 'vitest';
import { WebSocket } from 'ws';
import { type FrameDetail, type FrameSummary, LiveEvent } from '../../../server/http/messages.ts';
import { portOf, putWren, stationKey, TEAM, type TestApp, testApp, upload, wren } from '../support/app.ts';
import { temporaryDirectory } from '../support/directory.ts';
import { fakeRecording } from '../support/fake-decoding.ts';
import { powerText } from '../support/wren.ts';

const TEXT = powerText({ count: 4242, battery: 7921 });
const NEXT = powerText({ count: 4243, battery: 7905 });

interface Heard {
  readonly station?: string;
  readonly ebN0Db?: number;
  readonly seed: number;
  readonly text?: string;
  /** Seconds after 08:50:00 by the sender's clock. */
  readonly began?: number;
  readonly fields?: Readonly<Record<string, string>>;
  readonly headers?: Readonly<Record<string, string>>;
  /** Nothing is read in it alone. */
  readonly unread?: boolean;
  readonly mark?: string;
}

async function withWren(options = {}): Promise<TestApp> {
  const built = await testApp(options);
  await putWren(built);
  return built;
}

/** A station's recording of the text, decoded; gives its id. */
async function hear(built: TestApp, heard: Heard): Promise<string> {
  const { station = `Q${heard.seed}LARK`, ebN0Db = 5.5, seed, text = TEXT, began = 0, unread, mark = '' } = heard;
  const burst = { text, startSeconds: 2, heard: { ebN0Db, seed }, ...(unread ? { frames: [] } : {}) };
  const startedAt = new Date(Date.UTC(2031, 4, 4, 8, 50) + 1000 * began).toISOString();
  const file = fakeRecording({ bursts: [burst], problems: [`${seed}${mark}`] });
  const { id } = (await upload(built, file, { station, startedAt, ...heard.fields }, heard.headers)).json();
  await built.jobs.idle();
  return id;
}

async function frames({ app }: TestApp): Promise<FrameSummary[]> {
  return (await app.inject({ url: '/api/missions/wren-1/frames' })).json().frames;
}

async function detail({ app }: TestApp, id = 'f1'): Promise<FrameDetail> {
  return (await app.inject({ url: `/api/frames/${id}` })).json();
}

async function copies(built: TestApp, id = 'f1') {
  const { origin } = await detail(built, id);
  return origin.source === 'recording' ? origin.copies : [];
}

async function redecisions({ services }: TestApp) {
  const events = await services.store.eventsSince(0, 1000);
  return events.flatMap(({ event }) => (event.type === 'frame-redecided' ? [event] : []));
}

const remove = ({ app }: TestApp, id: string) =>
  app.inject({ method: 'DELETE', url: `/api/recordings/${id}`, headers: TEAM });

const patch = ({ app }: TestApp, id: string, startedAt: string) =>
  app.inject({ method: 'PATCH', url: `/api/recordings/${id}`, headers: TEAM, payload: { startedAt } });

describe('a late copy', () => {
  test('turns a doubtful frame into a confirmed one, which keeps its id, and an event says so', async () => {
    const built = await withWren();
    await hear(built, { seed: 1 });
    expect(await frames(built)).toMatchObject([{ id: 'f1', trust: 'doubtful', station: 'Q1LARK' }]);
    await hear(built, { seed: 2, began: -2 });
    await hear(built, { seed: 3, began: 2.5 });
    expect(await frames(built)).toMatchObject([{ id: 'f1', trust: 'confirmed', text: TEXT }]);
    const told = await redecisions(built);
    expect(told.map(({ before, after }) => [before.copies, after.copies])).toEqual([
      [1, 2],
      [2, 3],
    ]);
    expect(told[0].before.trust).toBe('doubtful');
    expect(told.at(-1)).toMatchObject({ mission: 'wren-1', frame: 1, after: { trust: 'confirmed', text: TEXT } });
    const { readings } = await detail(built);
    expect(readings).toContainEqual(expect.objectContaining({ parameter: 'battery_voltage', value: 7.921 }));
    expect(built.complaints).toEqual([]);
  });

  test('shows with where it was heard, how clearly, and what it gives alone', async () => {
    const built = await withWren();
    const first = await hear(built, { seed: 1 });
    const second = await hear(built, { seed: 2, ebN0Db: 8 });
    const heard = await copies(built);
    expect(heard.map(({ recording, station, ebN0Db, use }) => ({ recording, station, ebN0Db, use }))).toEqual([
      { recording: second, station: 'Q2LARK', ebN0Db: 8, use: 'added' },
      { recording: first, station: 'Q1LARK', ebN0Db: 5.5, use: 'added' },
    ]);
    for (const { alone, startSeconds } of heard) {
      expect(alone).toMatchObject({ frame: 'power', trust: expect.any(String) });
      expect(startSeconds).toBeCloseTo(2.5, 0);
    }
    for (const [id, station] of [
      [first, 'Q1LARK'],
      [second, 'Q2LARK'],
    ]) {
      const { bursts } = (await built.app.inject({ url: `/api/recordings/${id}/bursts` })).json();
      expect(bursts[0].frames).toMatchObject([{ id: 'f1' }]);
      expect(bursts[0].frames[0].characters.length).toBeGreaterThan(30);
      expect((await built.app.inject({ url: `/api/recordings/${id}` })).json().frames).toBe(1);
      const own = await built.app.inject({ url: `/api/missions/wren-1/frames?station=${station}` });
      expect(own.json().frames).toHaveLength(1);
    }
  });

  test('is told to pages as it happens', async () => {
    const built = await withWren();
    await hear(built, { seed: 1 });
    const socket = new WebSocket(`ws://127.0.0.1:${await portOf(built)}/api/live`);
    onTestFinished(() => socket.terminate());
    const heard: LiveEvent[] = [];
    await new Promise((resolve) => {
      socket.on('message', (data) => {
        const event: unknown = JSON.parse(String(data));
        if (Value.Check(LiveEvent, event)) heard.push(event);
        resolve(null);
      });
    });
    await hear(built, { seed: 2, ebN0Db: 9 });
    await expect
      .poll(() => heard.find(({ type }) => type === 'frame-redecided'))
      .toMatchObject({ frame: { id: 'f1' }, before: { copies: 1 }, after: { copies: 2, text: TEXT } });
  });
});

describe('copies', () => {
  test('make the same frame in whatever order they come', async () => {
    const orders = [
      [1, 2, 3],
      [3, 1, 2],
      [2, 3, 1],
    ];
    const results = [];
    for (const order of orders) {
      const built = await withWren();
      for (const seed of order) await hear(built, { seed, ebN0Db: 5 + seed / 2 });
      const [frame, ...more] = await frames(built);
      expect(more).toEqual([]);
      results.push({
        text: frame.text,
        confidence: frame.confidence,
        receivedAt: frame.receivedAt,
        stations: (await copies(built)).map(({ station }) => station).sort(),
      });
    }
    expect(results[1]).toEqual(results[0]);
    expect(results[2]).toEqual(results[0]);
  });

  test('too far apart in time are not joined through what lies between', async () => {
    const built = await withWren();
    await hear(built, { seed: 1, ebN0Db: 10 });
    await hear(built, { seed: 2, ebN0Db: 9, began: 4 });
    await hear(built, { seed: 3, ebN0Db: 8, began: 8 });
    const all = await Promise.all((await frames(built)).map(({ id }) => copies(built, id)));
    expect(all.map((each) => each.map(({ station }) => station))).toEqual([['Q3LARK'], ['Q1LARK', 'Q2LARK']]);
  });

  test('of the same receiver count once', async () => {
    const built = await withWren();
    await hear(built, { seed: 1, ebN0Db: 7 });
    const before = (await detail(built)).confidence;
    await hear(built, { seed: 1, ebN0Db: 7, station: 'Q9WREN', began: 1, mark: 'again' });
    expect((await frames(built)).map(({ confidence }) => confidence)).toEqual([before]);
    expect((await copies(built)).map(({ use }) => use)).toEqual(['added', 'same-noise']);
  });

  test('in which nothing was read help where their time fits', async () => {
    const built = await withWren();
    await hear(built, { seed: 1 });
    await hear(built, { seed: 2, unread: true });
    await hear(built, { seed: 3, unread: true, began: 70 });
    const heard = await copies(built);
    expect(heard.map(({ station, alone }) => [station, alone === null])).toEqual([
      ['Q1LARK', false],
      ['Q2LARK', true],
    ]);
    // And the other way round: what was decoded before anybody had read the frame.
    const reversed = await withWren();
    await hear(reversed, { seed: 2, unread: true });
    expect(await frames(reversed)).toEqual([]);
    await hear(reversed, { seed: 1 });
    expect((await copies(reversed)).map(({ station }) => station)).toEqual(['Q1LARK', 'Q2LARK']);
  });

  test('of another transmission, of another phase, or without a time stay apart', async () => {
    const built = await withWren();
    await hear(built, { seed: 1, ebN0Db: 11 });
    await hear(built, { seed: 2, ebN0Db: 11, text: NEXT });
    await hear(built, { seed: 3, ebN0Db: 11, began: 60 });
    await hear(built, { seed: 4, ebN0Db: 11, fields: { phase: 'rehearsal' } });
    const all = await frames(built);
    expect(all).toHaveLength(4);
    expect(await redecisions(built)).toEqual([]);
  });

  test('are never made of typed lines', async () => {
    const built = await withWren();
    const line = { mission: 'wren-1', station: 'Q5WREN', receivedAt: '2031-05-04T08:50:02Z', text: TEXT };
    await built.app.inject({ method: 'POST', url: '/api/frames', payload: line });
    await hear(built, { seed: 1 });
    expect(await frames(built)).toHaveLength(2);
    expect((await detail(built, 'f2')).trust).toBe('doubtful');
    expect(await copies(built, 'f2')).toHaveLength(1);
  });

  test('that nobody vouches for add to what a station stands for, but do not change it', async () => {
    const built = await withWren();
    const headers = await stationKey(built, 'Q1LARK');
    await hear(built, { seed: 1, ebN0Db: 12, headers });
    const before = await detail(built);
    await hear(built, { seed: 2, ebN0Db: 14 });
    const after = await detail(built);
    expect(after).toMatchObject({ vouched: true, station: 'Q1LARK', confidence: before.confidence });
    expect((await copies(built)).map(({ use }) => use)).toEqual(['added', 'unvouched']);
    // What the station alone leaves open they may settle, which then nobody vouches for.
    const weak = await withWren();
    await hear(weak, { seed: 1, headers: await stationKey(weak, 'Q1LARK') });
    await hear(weak, { seed: 2, ebN0Db: 9 });
    expect(await frames(weak)).toMatchObject([{ id: 'f1', trust: 'confirmed', vouched: false }]);
  });
});

test('two stations confirm a frame that has no checksum, one station twice does not', async () => {
  const { frames: layouts } = wren() as { frames: { id: string; layout: { checksum?: string }[] }[] };
  const unchecked = layouts.map(({ id, layout }) => ({ id, layout: layout.slice(0, -2) }));
  const text = TEXT.slice(0, TEXT.lastIndexOf(' '));
  for (const [station, trust] of [
    ['Q2LARK', 'confirmed'],
    ['Q1LARK/P', 'probable'],
  ]) {
    const built = await testApp();
    await putWren(built, { frames: unchecked });
    await hear(built, { seed: 1, ebN0Db: 13, text });
    await hear(built, { seed: 2, ebN0Db: 13, text, station });
    expect(await frames(built)).toMatchObject([{ text, checksum: 'none', trust }]);
  }
});

test('what a sender repeats is one frame, with the repetitions of every station', async () => {
  const built = await testApp();
  const { frames: layouts } = wren() as { frames: object[] };
  await putWren(built, { frames: layouts.map((layout) => ({ ...layout, repeats: 2 })) });
  const text = `${TEXT}\r\n${TEXT}`;
  await hear(built, { seed: 1, ebN0Db: 8, text });
  expect((await copies(built)).map(({ station }) => station)).toEqual(['Q1LARK', 'Q1LARK']);
  await hear(built, { seed: 2, ebN0Db: 8, text });
  expect(await frames(built)).toMatchObject([{ id: 'f1', trust: 'confirmed', text: TEXT }]);
  expect((await copies(built)).map(({ station }) => station).sort()).toEqual(['Q1LARK', 'Q1LARK', 'Q2LARK', 'Q2LARK']);
});

describe('a recording that goes', () => {
  test('takes its copy along: the frame is decided as if it had never come', async () => {
    const built = await withWren();
    await hear(built, { seed: 1 });
    const alone = await detail(built);
    const second = await hear(built, { seed: 2, ebN0Db: 9 });
    expect((await detail(built)).trust).toBe('confirmed');
    await remove(built, second);
    const { addedAt: _, ...left } = await detail(built);
    const { addedAt: __, ...expected } = alone;
    expect(left).toEqual(expected);
    expect((await redecisions(built)).at(-1)).toMatchObject({
      frame: 1,
      before: { copies: 2, trust: 'confirmed' },
      after: { copies: 1, trust: 'doubtful' },
    });
    expect(built.complaints).toEqual([]);
  });

  test('leaves the frame to those who heard it too, also when it stood in it', async () => {
    const built = await withWren();
    const first = await hear(built, { seed: 1, ebN0Db: 9 });
    const second = await hear(built, { seed: 2, ebN0Db: 8 });
    const faint = await hear(built, { seed: 3, unread: true });
    await remove(built, first);
    expect(await frames(built)).toMatchObject([{ id: 'f1', recording: second, station: 'Q2LARK' }]);
    expect((await copies(built)).map(({ recording }) => recording)).toEqual([second, faint]);
    await remove(built, second);
    expect(await frames(built)).toEqual([]);
    expect((await built.app.inject({ url: '/api/frames/f1' })).statusCode).toBe(404);
  });
});

describe('a recording that is dated anew', () => {
  test('joins those of its time, and leaves them', async () => {
    const built = await withWren();
    await hear(built, { seed: 1 });
    const second = await hear(built, { seed: 2, ebN0Db: 9, began: 300 });
    expect(await frames(built)).toHaveLength(2);
    await patch(built, second, '2031-05-04T08:50:01Z');
    expect(await frames(built)).toMatchObject([{ trust: 'confirmed' }]);
    expect(await copies(built, (await frames(built))[0].id)).toHaveLength(2);
    await patch(built, second, '2031-05-04T08:58:00Z');
    const apart = await frames(built);
    expect(apart.map(({ receivedAt, trust }) => [receivedAt?.slice(11, 16), trust])).toEqual([
      ['08:58', 'confirmed'],
      ['08:50', 'doubtful'],
    ]);
    for (const { id } of apart) expect(await copies(built, id)).toHaveLength(1);
    const { total } = (
      await built.app.inject({ url: '/api/missions/wren-1/readings?parameter=battery_voltage&trust=doubtful' })
    ).json().series[0];
    expect(total).toBe(2);
  });

  test('takes the time from the clock that is said to be the best', async () => {
    const built = await withWren();
    await hear(built, { seed: 1, ebN0Db: 10, fields: { timeAccuracySeconds: '4' } });
    await hear(built, { seed: 2, ebN0Db: 9, began: 2, fields: { timeAccuracySeconds: '0.1' } });
    const [{ receivedAt, station }] = await frames(built);
    expect([station, receivedAt?.slice(0, 19)]).toEqual(['Q1LARK', '2031-05-04T08:50:04']);
  });
});

describe('a server that stops', () => {
  test('goes on with all copies, none of them twice', async () => {
    const dataDir = await temporaryDirectory();
    const before = await withWren({ dataDir });
    await hear(before, { seed: 1 });
    before.decoding.hold();
    const file = fakeRecording({ bursts: [{ text: TEXT, heard: { ebN0Db: 9, seed: 2 } }] });
    await upload(before, file, { station: 'Q2LARK' });
    await before.app.close();
    const after = await testApp({ dataDir });
    await after.jobs.idle();
    expect(await frames(after)).toMatchObject([{ id: 'f1', trust: 'confirmed' }]);
    expect(await copies(after)).toHaveLength(2);
    expect(await redecisions(after)).toHaveLength(1);
  });

  test('whose disk was full when a copy was to be stored has changed nothing, and tries again', async () => {
    const built = await withWren();
    await hear(built, { seed: 1 });
    const { store } = built.services;
    const { finishDecoding } = store;
    store.finishDecoding = async () => {
      store.finishDecoding = finishDecoding;
      throw new Error('database or disk is full');
    };
    await hear(built, { seed: 2, ebN0Db: 9 });
    expect(await frames(built)).toMatchObject([{ trust: 'doubtful' }]);
    expect(await copies(built)).toHaveLength(1);
    await store.releaseAllJobs();
    built.jobs.wake();
    await built.jobs.idle();
    expect(await frames(built)).toMatchObject([{ id: 'f1', trust: 'confirmed' }]);
    expect(await copies(built)).toHaveLength(2);
  });
});

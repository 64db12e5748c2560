import { Value } from 'typebox/value';
import { describe, expect, onTestFinished, test } from 'vitest';
import { WebSocket } from 'ws';
import { LiveEvent } from '../../../../server/http/messages.ts';
import { portOf, putWren, stationKey, TEAM, TEAM_KEY, type TestApp, testApp, upload } from '../../support/app.ts';
import { fakeRecording } from '../../support/fake-decoding.ts';
import { powerFrame, powerText } from '../../support/wren.ts';

interface Listener {
  readonly socket: WebSocket;
  readonly events: LiveEvent[];
  /** The numbered events so far, each in a few words. */
  said(): string[];
}

interface Asking {
  readonly query?: string;
  readonly headers?: Record<string, string>;
  readonly protocols?: string[];
}

/** Connects as a page does; every event is held against its schema. */
async function listen(built: TestApp, { query = '', headers = {}, protocols = [] }: Asking = {}): Promise<Listener> {
  const socket = new WebSocket(`ws://127.0.0.1:${await portOf(built)}/api/live${query}`, protocols, { headers });
  onTestFinished(() => socket.terminate());
  const events: LiveEvent[] = [];
  await new Promise((resolve, reject) => {
    socket.on('error', reject);
    socket.on('message', (data) => {
      const event: unknown = JSON.parse(String(data));
      if (Value.Check(LiveEvent, event)) events.push(event);
      else reject(new Error(`an event against its schema: ${data}`));
      resolve(null);
    });
  });
  return { socket, events, said: () => events.filter(({ type }) => type !== 'progress').map(inWords) };
}

function inWords(event: LiveEvent): string {
  switch (event.type) {
    case 'recording':
      return `${event.seq} ${event.recording} ${event.status}`;
    case 'frame':
      return `${event.seq} frame ${event.frame.text.slice(0, 7)}`;
    case 'mission':
      return `${event.seq} ${event.mission} ${event.change}`;
    default:
      return `${event.seq} ${event.type}`;
  }
}

const frame = powerFrame();
const oneFrame = fakeRecording({ bursts: [{ text: frame.text, frames: [frame] }] });

test('a recording is followed from its coming to its frames', async () => {
  const built = await testApp();
  await putWren(built);
  const { said, events } = await listen(built);
  await upload(built, oneFrame);
  await expect.poll(() => said().at(-1)).toBe('5 r1 decoded');
  expect(said()).toEqual(['1 hello', '2 r1 waiting', '3 r1 decoding', '4 frame Q0WRN P', '5 r1 decoded']);
  expect(events.at(-1)).toMatchObject({ missions: ['wren-1'], at: '2031-05-04T09:00:00.000Z' });
  expect(events.filter(({ type }) => type === 'progress')).toMatchObject([
    { recording: 'r1', progress: 0.5, seconds: 15 },
  ]);
});

describe('a page that comes again', () => {
  test('gets what it missed, in order and once', async () => {
    const built = await testApp();
    await putWren(built);
    const first = await listen(built);
    first.socket.terminate();
    await upload(built, oneFrame);
    await built.jobs.idle();
    const second = await listen(built, { query: '?since=1' });
    await expect.poll(() => second.said().at(-1)).toBe('5 r1 decoded');
    expect(second.said()).toEqual(['5 hello', '2 r1 waiting', '3 r1 decoding', '4 frame Q0WRN P', '5 r1 decoded']);
    const third = await listen(built, { query: '?since=4' });
    await expect.poll(() => third.said()).toEqual(['5 hello', '5 r1 decoded']);
    expect((await listen(built)).said()).toEqual(['5 hello']);
  });

  test('after too long, or from another server, is told to load anew', async () => {
    const built = await testApp();
    await putWren(built);
    await putWren(built, { name: 'Two' });
    await built.jobs.idle();
    const { newest } = await built.services.store.eventRange();
    await built.services.store.pruneEvents(1);
    for (const since of [1, 999]) {
      const { said } = await listen(built, { query: `?since=${since}` });
      await expect.poll(said).toEqual([`${newest} hello`, `${newest} reset`]);
    }
    expect((await listen(built, { query: `?since=${newest}` })).said()).toEqual([`${newest} hello`]);
  });

  test('is refused a count that is none', async () => {
    const built = await testApp();
    for (const since of ['-1', 'x', '1.5']) {
      await expect(listen(built, { query: `?since=${since}` })).rejects.toThrow('400');
    }
  });
});

test('a private mission is told of only to those with a key', async () => {
  const built = await testApp();
  await putWren(built, { private: true });
  const lark = await stationKey(built, 'Q1LARK');
  const open = await listen(built);
  const keyed = await listen(built, { headers: lark });
  const key = `key.${Buffer.from(TEAM_KEY).toString('base64url')}`;
  const browser = await listen(built, { protocols: ['fiveunit.live', key] });
  expect(browser.socket.protocol).toBe('fiveunit.live');
  const payload = { mission: 'wren-1', station: 'Q1LARK', receivedAt: null, text: powerText() };
  await built.app.inject({ method: 'POST', url: '/api/frames', headers: lark, payload });
  await upload(built, oneFrame, { mission: 'any' }, TEAM);
  for (const each of [open, keyed, browser]) await expect.poll(() => each.said().at(-1)).toContain('decoded');
  const frames = ({ said }: Listener) => said().filter((each) => each.includes('frame')).length;
  expect([open, keyed, browser].map(frames)).toEqual([0, 2, 2]);
  expect(JSON.stringify(open.events)).not.toContain('wren-1');
});

test('an unknown key is refused', async () => {
  const built = await testApp();
  await expect(listen(built, { headers: { authorization: 'Bearer guessed' } })).rejects.toThrow('401');
  await expect(listen(built, { protocols: ['fiveunit.live', 'key.eA'] })).rejects.toThrow('401');
});

test('no more pages than the limit are taken', async () => {
  const built = await testApp({ limits: { liveConnections: 1 } });
  const first = await listen(built);
  await expect(listen(built)).rejects.toThrow('429');
  first.socket.close();
  const again = () =>
    listen(built).then(
      () => 'taken',
      () => 'refused',
    );
  await expect.poll(again).toBe('taken');
});

test('pages are told goodbye when the server stops', async () => {
  const built = await testApp();
  const { socket } = await listen(built);
  const closed = new Promise<number>((resolve) => {
    socket.on('close', resolve);
  });
  await built.app.close();
  expect(await closed).toBe(1001);
});

test('asked for as a page, it says that it speaks WebSocket', async () => {
  const { app } = await testApp();
  expect((await app.inject({ url: '/api/live' })).json()).toMatchObject({ status: 426, code: 'upgrade-needed' });
});

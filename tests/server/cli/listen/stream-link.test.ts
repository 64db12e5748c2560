import { once } from 'node:events';
import type { AddressInfo } from 'node:net';
import { expect, onTestFinished, test } from 'vitest';
import { type WebSocket, WebSocketServer } from 'ws';
import { StreamLink } from '../../../../server/cli/listen/stream-link.ts';

const RATE = 8000;
const WINDOW = 20 * RATE;
const STARTED_MS = Date.UTC(2031, 4, 4, 9);

interface Header {
  readonly startedAt: string;
  readonly session?: string;
}

/** One connection as the server sees it. */
interface Connection {
  readonly socket: WebSocket;
  readonly header: Header;
  /** Samples that came on it. */
  readonly samples: number[];
  say(note: object | string): void;
}

/** A server that says nothing by itself, and the link to it. Sample n has the value n modulo 30000. */
async function linked(options: { readonly autoPong?: boolean; readonly silenceMs?: number } = {}) {
  const { autoPong = true, silenceMs = 60_000 } = options;
  const server = new WebSocketServer({ port: 0, host: '127.0.0.1', autoPong });
  await once(server, 'listening');
  const connections: Connection[] = [];
  server.on('connection', (socket) => {
    socket.on('message', (data: Buffer, isBinary) => {
      if (!isBinary) {
        const text = String(data);
        if (text === '{"type":"end"}') return;
        const say = (note: object | string) => socket.send(typeof note === 'string' ? note : JSON.stringify(note));
        connections.push({ socket, header: JSON.parse(text), samples: [], say });
        return;
      }
      const samples = connections.find((one) => one.socket === socket)?.samples;
      for (let at = 0; at < data.length; at += 2) samples?.push(data.readInt16LE(at));
    });
  });
  const states: string[] = [];
  const { port } = server.address() as AddressInfo;
  const link = new StreamLink({
    address: new URL(`http://127.0.0.1:${port}/`),
    key: null,
    rate: RATE,
    claims: {},
    startedMs: STARTED_MS,
    onState: (state) => states.push(state),
    timing: { silenceMs, firstWaitMs: 5 },
  });
  onTestFinished(() => {
    link.close();
    for (const client of server.clients) client.terminate();
    server.close();
  });
  let pushed = 0;
  return {
    link,
    states,
    connections,
    push(count: number) {
      link.push(bytesOf(range(pushed, pushed + count)));
      pushed += count;
    },
    /** The n-th connection, as soon as its header has come. */
    async connection(n: number): Promise<Connection> {
      await expect.poll(() => connections.length, { timeout: 20_000 }).toBeGreaterThan(n);
      return connections[n];
    },
  };
}

const sampleAt = (sample: number): number => sample % 30_000;
const range = (from: number, to: number): number[] => Array.from({ length: to - from }, (_, i) => sampleAt(from + i));

function bytesOf(values: readonly number[]): Uint8Array {
  const bytes = Buffer.alloc(2 * values.length);
  values.forEach((value, i) => {
    bytes.writeInt16LE(value, 2 * i);
  });
  return bytes;
}

const came = (connection: Connection, samples: number[]) =>
  expect.poll(() => connection.samples, { timeout: 20_000 }).toEqual(samples);
const ready = (samples: number, session = 'the-session') => ({ type: 'ready', session, samples, window: WINDOW });
const secondsIn = ({ header }: Connection): number => (Date.parse(header.startedAt) - STARTED_MS) / 1000;

test('acknowledgements that were lost with the connection cost nothing: it goes on where the server is', async () => {
  const { push, connection, link, states } = await linked();
  const first = await connection(0);
  first.say(ready(0));
  push(3000);
  await came(first, range(0, 3000));
  first.socket.terminate();
  const second = await connection(1);
  expect(second.header.session).toBe('the-session');
  push(500);
  second.say(ready(3000));
  await came(second, range(3000, 3500));
  expect(link.fate(0, 3000)).toBe('open');
  second.say({ type: 'ack', samples: 3500 });
  await expect.poll(() => link.fate(0, 3000)).toBe('server');
  expect(states).toEqual(['up', 'down', 'up']);
});

test('what was lost on its way is sent again', async () => {
  const { push, connection } = await linked();
  const first = await connection(0);
  first.say(ready(0));
  push(3000);
  await came(first, range(0, 3000));
  first.socket.terminate();
  const second = await connection(1);
  second.say(ready(1234));
  await came(second, range(1234, 3000));
});

test('a server that forgot the session opens another, from what was acknowledged on, with its own time', async () => {
  const { push, connection, link } = await linked();
  const first = await connection(0);
  first.say(ready(0));
  push(4000);
  await came(first, range(0, 4000));
  first.say({ type: 'ack', samples: 4000 });
  await expect.poll(() => link.fate(0, 4000)).toBe('server');
  push(1000);
  first.socket.terminate();
  const second = await connection(1);
  expect(secondsIn(second)).toBe(0.5);
  second.say(ready(0, 'another-session'));
  await came(second, range(4000, 5000));
  // neither session heard the whole of it
  expect(link.fate(3900, 4100)).toBe('lost');
  expect(link.fate(4100, 4200)).toBe('open');
});

test.each([
  ['before what is kept', 0],
  ['past what was ever sent', 9000],
])('a server that means to go on %s is asked for a new session', async (_where, position) => {
  const { push, connection, link } = await linked();
  const first = await connection(0);
  first.say(ready(0));
  push(4000);
  await came(first, range(0, 4000));
  first.say({ type: 'ack', samples: 4000 });
  await expect.poll(() => link.fate(0, 4000)).toBe('server');
  // lets go of what was acknowledged
  push(1000);
  first.socket.terminate();
  const second = await connection(1);
  second.say(ready(position));
  const third = await connection(2);
  expect(second.samples).toEqual([]);
  expect(third.header.session).toBeUndefined();
  expect(secondsIn(third)).toBe(0.5);
  third.say(ready(0, 'another-session'));
  await came(third, range(4000, 5000));
});

test('more is never on its way than the server allows', async () => {
  const { push, connection } = await linked();
  const first = await connection(0);
  first.say({ ...ready(0), window: 1000 });
  push(600);
  push(600);
  await came(first, range(0, 1000));
  first.say({ type: 'ack', samples: 600 });
  await came(first, range(0, 1200));
});

test('nothing counts as heard that was not sent, and nonsense is passed over', async () => {
  const { push, connection, link } = await linked();
  const first = await connection(0);
  first.say(ready(0));
  push(1000);
  await came(first, range(0, 1000));
  for (const nonsense of ['{', 'null', '[]', '{"type":"ack","samples":"all"}', '{"type":"ready","session":7}']) {
    first.say(nonsense);
  }
  first.say({ type: 'ack', samples: 1e9 });
  await expect.poll(() => link.fate(0, 1000)).toBe('server');
  push(10);
  expect(link.fate(1000, 1010)).toBe('open');
  await came(first, range(0, 1010));
});

test('a connection that was cut without a word is given up, and another takes its place', async () => {
  const { push, connection, connections, states } = await linked({ autoPong: false, silenceMs: 40 });
  const first = await connection(0);
  first.say(ready(0));
  push(100);
  await expect.poll(() => connections.length, { timeout: 20_000 }).toBeGreaterThan(1);
  expect(states.slice(0, 2)).toEqual(['up', 'down']);
});

test('a connection on which nobody has anything to say stands', async () => {
  const { connection, connections } = await linked({ silenceMs: 700 });
  const first = await connection(0);
  let pings = 0;
  first.socket.on('ping', () => pings++);
  first.say(ready(0));
  await expect.poll(() => pings, { timeout: 20_000 }).toBeGreaterThan(1);
  expect(connections).toHaveLength(1);
});

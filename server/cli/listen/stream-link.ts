import WebSocket from 'ws';
import { type LinkNote, readLinkNote } from './link-notes.ts';

export interface LinkOptions {
  /** Of the server. */
  readonly address: URL;
  readonly key: string | null;
  readonly rate: number;
  /** What else the header says: mission, station, phase. */
  readonly claims: Readonly<Record<string, string>>;
  /** When sample 0 was received. */
  readonly startedMs: number;
  /** Told in words when the connection comes, goes, or is refused. */
  readonly onState: (state: 'up' | 'down' | 'refused', words: string) => void;
  readonly timing?: LinkTiming;
}

export interface LinkTiming {
  /** A connection on which nothing came for so long is asked for a sign of life, and given up when none comes in as long again. */
  readonly silenceMs: number;
  /** Before the first attempt after a cut; each that fails doubles it. */
  readonly firstWaitMs: number;
}

const TIMING: LinkTiming = { silenceMs: 15_000, firstWaitMs: 1000 };

/** What the server knows of a stretch: it heard it, it may still, or it will not. */
export type Fate = 'server' | 'open' | 'lost';

/** Kept to be sent again after a cut. */
const KEPT_SECONDS = 90;
const SAMPLE_BYTES = 2;
const LONGEST_WAIT_MS = 30_000;
const MESSAGE_SAMPLES = 1 << 13;
const END_PATIENCE_MS = 30_000;

/** Samples of one session at the server: from which, and up to which they were acknowledged. */
interface Session {
  readonly id: string;
  readonly first: number;
  acknowledged: number;
}

/**
 * Hands a stream of samples to a server, over as many connections as it takes: what was not acknowledged is sent again after a
 * cut, as long as it is kept.
 */
export class StreamLink {
  readonly #options: LinkOptions;
  /** Samples from `#keptFrom` on, in pieces. */
  readonly #kept: Buffer[] = [];
  #keptFrom = 0;
  /** Samples that came in all. */
  #total = 0;
  /** Next sample to be sent, and how many may go unacknowledged. */
  #next = 0;
  #window = 0;
  /** Where the session begins that is being asked for. */
  #first = 0;
  /** Up to here stretches were given up for lost. */
  #lostUntil = 0;
  #socket: WebSocket | null = null;
  #isReady = false;
  #isOver = false;
  #isEnding = false;
  #hasSaidEnd = false;
  /** The last session cannot go on: the server is elsewhere in it than what is kept. */
  #isAdrift = false;
  readonly #sessions: Session[] = [];
  readonly #timing: LinkTiming;
  #waitMs: number;
  #retry: NodeJS.Timeout | undefined;
  #onEnded = () => {};

  constructor(options: LinkOptions) {
    this.#options = options;
    this.#timing = options.timing ?? TIMING;
    this.#waitMs = this.#timing.firstWaitMs;
    this.#connect();
  }

  /** Takes samples of one channel, 16 bits, little-endian. */
  push(bytes: Uint8Array): void {
    if (this.#isOver) return;
    this.#kept.push(Buffer.from(bytes));
    this.#total += bytes.length / SAMPLE_BYTES;
    const oldest = this.#total - KEPT_SECONDS * this.#options.rate;
    this.#forget(Math.max(oldest, Math.min(this.#acknowledged, this.#next)));
    this.#send();
  }

  /** What became, or will become, of the samples from..to-1. */
  fate(from: number, to: number): Fate {
    const session = this.#sessions.find(({ first, acknowledged }) => first <= from && acknowledged >= to);
    if (session !== undefined) return 'server';
    const last = this.#resumable;
    if (last !== null && last.first <= from && !this.#isOver) return 'open';
    this.#lostUntil = Math.max(this.#lostUntil, to);
    return 'lost';
  }

  /** Says that no more samples come; resolves when the server has read them to their end, or does not answer. */
  async end(): Promise<void> {
    this.#isEnding = true;
    const ended = new Promise<void>((resolve) => {
      this.#onEnded = resolve;
    });
    this.#finish();
    const isThere = this.#socket !== null && this.#socket.readyState <= WebSocket.OPEN && !this.#isOver;
    const patience = setTimeout(() => this.#onEnded(), isThere ? END_PATIENCE_MS : 0);
    await ended;
    clearTimeout(patience);
    this.close();
  }

  close(): void {
    this.#isOver = true;
    clearTimeout(this.#retry);
    this.#socket?.terminate();
  }

  get #acknowledged(): number {
    return this.#sessions.at(-1)?.acknowledged ?? 0;
  }

  /** The session that can go on: all that it has not acknowledged is kept. */
  get #resumable(): Session | null {
    const last = this.#sessions.at(-1);
    return last !== undefined && !this.#isAdrift && this.#keptFrom <= last.acknowledged ? last : null;
  }

  #connect(): void {
    const { address, key } = this.#options;
    const url = new URL('api/listen', address);
    url.protocol = url.protocol === 'https:' ? 'wss:' : 'ws:';
    const socket = new WebSocket(url, { headers: key === null ? {} : { authorization: `Bearer ${key}` } });
    this.#socket = socket;
    let refusal: string | null = null;
    socket.on('open', () => socket.send(JSON.stringify(this.#header())));
    socket.on('message', (data) => {
      const note = readLinkNote(String(data));
      if (note?.type === 'refused') refusal = note.detail;
      else if (note !== null) this.#hear(note);
    });
    socket.on('unexpected-response', (_request, { statusCode = 0 }) => {
      // A key or an address that is wrong does not mend itself.
      if (statusCode < 500 && statusCode !== 429) refusal = `the server answered ${statusCode}`;
      socket.terminate();
    });
    // Said when it closes.
    socket.on('error', () => {});
    const stopWatching = terminateWhenSilent(socket, this.#timing.silenceMs);
    socket.on('close', () => {
      stopWatching();
      this.#closed(refusal);
    });
  }

  #header(): object {
    const { rate, claims, startedMs } = this.#options;
    const last = this.#resumable;
    // What was heard, or given up for lost and kept elsewhere, a new session must not hear too.
    const known = Math.max(this.#acknowledged, Math.min(this.#total, this.#lostUntil));
    this.#first = last !== null ? last.acknowledged : Math.max(this.#keptFrom, known);
    const begins = new Date(startedMs + (1000 * this.#first) / rate).toISOString();
    const which = last !== null ? { session: last.id } : {};
    return { type: 'listen', rate, encoding: 's16le', ...claims, startedAt: begins, ...which };
  }

  #hear(note: Exclude<LinkNote, { type: 'refused' }>): void {
    if (note.type === 'ready') this.#ready(note.session, note.samples, note.window);
    else if (note.type === 'ended') this.#onEnded();
    else {
      const session = this.#sessions.at(-1);
      // never more than was sent, nor less than it had already
      if (session) {
        session.acknowledged = Math.max(session.acknowledged, Math.min(this.#next, session.first + note.samples));
      }
      this.#send();
    }
  }

  #ready(id: string, samples: number, window: number): void {
    const last = this.#sessions.at(-1);
    if (last?.id === id) {
      const next = last.first + samples;
      if (next < this.#keptFrom || next > this.#total) {
        this.#isAdrift = true;
        this.#socket?.terminate();
        return;
      }
      this.#next = next;
    } else {
      this.#next = Math.max(this.#first, this.#keptFrom);
      this.#sessions.push({ id, first: this.#next, acknowledged: this.#next });
      this.#isAdrift = false;
    }
    this.#window = window;
    this.#isReady = true;
    this.#waitMs = this.#timing.firstWaitMs;
    this.#options.onState('up', last?.id === id ? 'connected again, going on where it was' : 'connected');
    this.#send();
    this.#finish();
  }

  #closed(refusal: string | null): void {
    const wasReady = this.#isReady;
    this.#isReady = false;
    if (this.#isOver) return;
    const isRefused = refusal !== null && !wasReady;
    if (isRefused) this.#options.onState('refused', refusal ?? '');
    if (isRefused || this.#isEnding) {
      this.#isOver = true;
      this.#onEnded();
      return;
    }
    if (wasReady || this.#waitMs === this.#timing.firstWaitMs)
      this.#options.onState('down', refusal ?? 'the server is not reached');
    this.#retry = setTimeout(() => this.#connect(), this.#waitMs);
    this.#waitMs = Math.min(LONGEST_WAIT_MS, 2 * this.#waitMs);
  }

  #send(): void {
    if (!this.#isReady || this.#socket === null) return;
    const most = Math.min(this.#total, this.#acknowledged + this.#window);
    let at = this.#keptFrom;
    for (const piece of this.#kept) {
      const samples = piece.length / SAMPLE_BYTES;
      const from = Math.max(0, this.#next - at);
      const to = Math.min(samples, most - at);
      if (to > from) {
        for (let k = from; k < to; k += MESSAGE_SAMPLES) {
          const end = Math.min(to, k + MESSAGE_SAMPLES);
          this.#socket.send(piece.subarray(k * SAMPLE_BYTES, end * SAMPLE_BYTES));
        }
        this.#next = at + to;
      }
      at += samples;
    }
    this.#finish();
  }

  /** Says that no more comes, once all has gone. */
  #finish(): void {
    if (!this.#isEnding || !this.#isReady || this.#hasSaidEnd || this.#next !== this.#total) return;
    this.#hasSaidEnd = true;
    this.#socket?.send('{"type":"end"}');
  }

  /** Lets go of whole pieces before a sample. */
  #forget(before: number): void {
    for (let [piece] = this.#kept; piece !== undefined; [piece] = this.#kept) {
      const samples = piece.length / SAMPLE_BYTES;
      if (this.#keptFrom + samples > before) return;
      this.#kept.shift();
      this.#keptFrom += samples;
    }
  }
}

/**
 * Lets go of a connection on which nothing comes any more: a network that goes without a word leaves it standing for many
 * minutes. Returns the way to stop watching.
 */
function terminateWhenSilent(socket: WebSocket, silenceMs: number): () => void {
  let heard = true;
  const hear = (): void => {
    heard = true;
  };
  for (const sign of ['open', 'message', 'ping', 'pong'] as const) socket.on(sign, hear);
  const look = (): void => {
    if (!heard) socket.terminate();
    else if (socket.readyState === WebSocket.OPEN) socket.ping();
    heard = false;
  };
  // after a busy stretch, what has come meanwhile is heard first
  const timer = setInterval(() => setImmediate(look), silenceMs).unref();
  return () => clearInterval(timer);
}

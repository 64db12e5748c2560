import type { WebSocket } from 'ws';
import type { Caller } from '../access/caller.ts';
import { maySeePrivate } from '../access/rules.ts';
import type { DecodeProgress } from '../jobs/decode-runner.ts';
import type { Services } from '../services.ts';
import type { StoredEvent, StoredRecording } from '../store/records.ts';
import { isoTime } from '../time.ts';
import { recordingId } from './ids.ts';
import type { LiveEvent } from './messages.ts';
import { frameSummary } from './views/frame-view.ts';

interface Client {
  readonly socket: WebSocket;
  readonly seesPrivate: boolean;
  /** Number of the last event sent. */
  seq: number;
  alive: boolean;
}

const BATCH_EVENTS = 200;
const KEPT_EVENTS = 20_000;
const PRUNE_EVERY = 1000;
const PING_MILLISECONDS = 30_000;
/** A client that does not read is let go: it can come again and resume. */
const UNSENT_BYTES_MAX = 4 * 2 ** 20;

const TRY_AGAIN_LATER = 1013;
const GOING_AWAY = 1001;

/** Tells pages what happens: what the store says happened, in its order, and in between how decoding goes on. */
export class LiveHub {
  readonly #services: Pick<Services, 'store' | 'complain'>;
  readonly #clients = new Set<Client>();
  readonly #pings: NodeJS.Timeout;
  #sending: Promise<void> = Promise.resolve();
  #newest = 0;
  #prunedAt = 0;
  #private: ReadonlySet<string> = new Set();

  constructor(services: Pick<Services, 'store' | 'complain'>) {
    this.#services = services;
    this.#pings = setInterval(() => this.#ping(), PING_MILLISECONDS).unref();
  }

  get connections(): number {
    return this.#clients.size;
  }

  /** Takes a connection; events after `since` are sent first. */
  connect(socket: WebSocket, caller: Caller, since: number | null): void {
    this.#queue(async () => {
      const { oldest, newest } = await this.#services.store.eventRange();
      this.#newest = Math.max(this.#newest, newest);
      const client: Client = { socket, seesPrivate: maySeePrivate(caller), seq: newest, alive: true };
      socket.on('pong', () => {
        client.alive = true;
      });
      socket.on('close', () => this.#clients.delete(client));
      if (socket.readyState !== socket.OPEN) return;
      this.#clients.add(client);
      this.#send(client, { type: 'hello', seq: newest });
      if (since !== null && (since > newest || since < oldest - 1)) this.#send(client, { type: 'reset', seq: newest });
      else client.seq = since ?? newest;
      await this.#catchUp();
    });
  }

  /** Sends what the store has gained: call it after every change. */
  wake(): void {
    this.#queue(() => this.#catchUp());
  }

  progress(recording: StoredRecording, progress: DecodeProgress): void {
    const secret = recording.mission !== null && this.#private.has(recording.mission);
    for (const client of this.#clients) {
      if (secret && !client.seesPrivate) continue;
      const { lastFrame } = progress;
      const mayRead = lastFrame !== null && (client.seesPrivate || !this.#private.has(lastFrame.mission));
      this.#send(client, {
        type: 'progress',
        seq: client.seq,
        recording: recordingId(recording.id),
        progress: progress.fraction,
        seconds: progress.seconds,
        bursts: progress.bursts,
        frames: progress.frames,
        lastText: mayRead ? lastFrame.text : null,
      });
    }
  }

  async close(): Promise<void> {
    clearInterval(this.#pings);
    await this.#sending;
    for (const { socket } of this.#clients) socket.close(GOING_AWAY, 'the server is stopping');
  }

  #queue(work: () => Promise<void>): void {
    this.#sending = this.#sending.then(work).catch((error) => this.#services.complain(error, 'telling pages'));
  }

  async #catchUp(): Promise<void> {
    const { store } = this.#services;
    this.#private = new Set(await store.privateMissions());
    let from = Math.min(this.#newest, ...[...this.#clients].map(({ seq }) => seq));
    for (;;) {
      const events = await store.eventsSince(from, BATCH_EVENTS);
      for (const stored of events) await this.#tell(stored);
      const last = events.at(-1);
      if (last === undefined) break;
      from = last.seq;
      this.#newest = Math.max(this.#newest, last.seq);
    }
    if (this.#newest - this.#prunedAt >= PRUNE_EVERY) {
      this.#prunedAt = this.#newest;
      await store.pruneEvents(KEPT_EVENTS);
    }
  }

  async #tell(stored: StoredEvent): Promise<void> {
    const behind = [...this.#clients].filter(({ seq }) => seq < stored.seq);
    if (behind.length === 0) return;
    const mission = stored.event.mission;
    const secret = mission !== null && this.#private.has(mission);
    const event = await this.#eventOf(stored);
    for (const client of behind) {
      client.seq = stored.seq;
      if (event !== null && (client.seesPrivate || !secret)) this.#send(client, event);
    }
  }

  /** Null when what it tells of is gone. */
  async #eventOf({ seq, at, event }: StoredEvent): Promise<LiveEvent | null> {
    const common = { seq, at: isoTime(at) };
    switch (event.type) {
      case 'mission':
        return { ...common, type: 'mission', mission: event.mission, version: event.version, change: event.change };
      case 'recording':
        return {
          ...common,
          type: 'recording',
          recording: recordingId(event.recording),
          status: event.status,
          missions: event.missions.filter((mission) => !this.#private.has(mission)),
        };
      case 'frame': {
        const frame = await this.#services.store.frame(event.frame);
        return frame === null ? null : { ...common, type: 'frame', frame: frameSummary(frame) };
      }
      case 'frame-redecided': {
        const frame = await this.#services.store.frame(event.frame);
        if (frame === null) return null;
        const { before, after } = event;
        return { ...common, type: 'frame-redecided', frame: frameSummary(frame), before, after };
      }
    }
  }

  #send(client: Client, event: LiveEvent): void {
    if (client.socket.bufferedAmount > UNSENT_BYTES_MAX) client.socket.close(TRY_AGAIN_LATER, 'too slow: come again');
    else if (client.socket.readyState === client.socket.OPEN) client.socket.send(JSON.stringify(event));
  }

  #ping(): void {
    for (const client of this.#clients) {
      if (!client.alive) client.socket.terminate();
      client.alive = false;
      if (client.socket.readyState === client.socket.OPEN) client.socket.ping();
    }
  }
}

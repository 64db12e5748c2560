import type { CutOut } from '../../../decoders/live/index.ts';
import type { Mission } from '../../../decoders/mission/types.ts';
import { complain, type Io } from '../io.ts';
import { SendError, ServerClient } from '../send/server-client.ts';
import { Spool } from './spool.ts';
import { StreamLink } from './stream-link.ts';

export interface RelayOptions {
  readonly to: string;
  readonly key: string | null;
  readonly rate: number;
  readonly missions: readonly Mission[];
  readonly station?: string;
  readonly phase?: string;
  readonly spool: string;
  readonly startedMs: number;
}

const RETRY_MS = 30_000;

/**
 * Gives a server what is heard: samples while it is reached, and the bursts that it missed as recordings when it is reached
 * again. Each burst goes one way only.
 */
export class Relay {
  readonly #options: RelayOptions;
  readonly #io: Io;
  readonly #link: StreamLink;
  readonly #spool: Spool;
  #open: CutOut[] = [];
  #sentAt = 0;

  constructor(options: RelayOptions, io: Io) {
    const { to, key, rate, missions, station, phase, spool, startedMs } = options;
    this.#options = options;
    this.#io = io;
    const [only] = missions;
    const mission = missions.length === 1 ? only.id : 'any';
    const said = phase === undefined ? {} : { phase };
    const client = new ServerClient(to, key);
    this.#spool = new Spool(
      spool,
      client,
      async () => ({ mission, station: await stationOf(client, station), ...said }),
      io,
    );
    this.#link = new StreamLink({
      address: client.address,
      key,
      rate,
      claims: { mission, ...said, ...(station === undefined ? {} : { station }) },
      startedMs,
      onState: (state, words) => {
        complain(io, `${to}: ${words}${state === 'up' ? '' : `; bursts are kept in ${spool}`}`);
        // what waits goes now
        if (state === 'up') this.#sentAt = 0;
      },
    });
  }

  /** Takes samples of one channel, 16 bits. */
  push(bytes: Uint8Array): void {
    this.#link.push(bytes);
  }

  /** Takes a burst, to be kept in case that the server does not hear it. */
  keep(cut: CutOut): void {
    this.#open.push(cut);
  }

  /** Writes down what the server missed, and sends now and then what was written down. */
  async settle(isLast = false): Promise<void> {
    const open = this.#open;
    this.#open = [];
    for (const cut of open) {
      const [from, to] = [cut.startSeconds, cut.endSeconds].map((seconds) => Math.round(seconds * this.#options.rate));
      const fate = this.#link.fate(from, to);
      if (fate === 'open' && !isLast) this.#open.push(cut);
      else if (fate !== 'server') {
        const startedAt = new Date(this.#options.startedMs + 1000 * cut.startSeconds).toISOString();
        await this.#spool.keep(cut.wav, startedAt);
      }
    }
    if (isLast || Date.now() - this.#sentAt < RETRY_MS) return;
    this.#sentAt = Date.now();
    // beside the listening, which must not wait for it
    void this.#spool.send();
  }

  /** How many bursts are left that the server does not have. */
  async end(): Promise<number> {
    await this.#link.end();
    await this.settle(true);
    const left = await this.#spool.send();
    if (left > 0)
      complain(this.#io, `${left} bursts wait in ${this.#options.spool}; the next "listen --to" sends them`);
    return left;
  }
}

async function stationOf(client: ServerClient, given: string | undefined): Promise<string> {
  const station = given ?? (await client.facts()).station;
  if (station !== null) return station;
  throw new SendError('no-station', 'say with --station who listens: no key of a station came along', {
    passing: false,
  });
}

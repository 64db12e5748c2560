import { Readable } from 'node:stream';
import { bytesPerRawSample, LIVE_TIME_ACCURACY_SECONDS, type LiveEvent } from '../../decoders/live/index.ts';
import type { Mission } from '../../decoders/mission/types.ts';
import { recordingId } from '../http/ids.ts';
import type { ListenHeader, ListenNote } from '../http/messages.ts';
import { acceptRecording } from '../intake/recordings.ts';
import { Refusal } from '../refusal.ts';
import type { Services } from '../services.ts';
import type { Instant, Phase } from '../store/records.ts';
import { isoTime } from '../time.ts';
import type { StreamNote } from './listening.ts';
import type { RunNote, StreamRun, StreamRunner } from './stream-runner.ts';

/** What a session is of, as it was checked at the door. */
export interface SessionClaims {
  readonly owner: string;
  readonly station: string;
  readonly vouched: boolean;
  /** Null for any mission. */
  readonly mission: string | null;
  readonly missions: readonly Mission[];
  readonly phase: Phase;
  readonly startedAt: Instant;
  readonly rate: number;
  readonly encoding: ListenHeader['encoding'];
}

/** Samples that may be on their way undecoded, in seconds: what a client holds ready to send again. */
export const WINDOW_SECONDS = 20;

type Cut = Extract<StreamNote, { type: 'cut' }>['cut'];

/**
 * One station's stream. It outlives its connection for a while, so that a station whose network broke goes on where it was;
 * what it heard becomes recordings.
 */
export class ListenSession {
  readonly id: string;
  readonly claims: SessionClaims;
  /** Tells the connection that stands, if there is one. */
  onNote: ((note: ListenNote) => void) | null = null;
  /** When its connection went; null while there is one. */
  leftAt: Instant | null = null;
  /** Nothing more is taken: what came is being read to its end. */
  isEnding = false;
  #received = 0;
  #taken = 0;
  readonly #run: StreamRun;
  readonly #services: Services;
  readonly #changed: () => void;
  readonly #onOver: () => void;
  #keeping: Promise<void> = Promise.resolve();

  constructor(
    id: string,
    claims: SessionClaims,
    services: Services,
    streams: StreamRunner,
    changed: () => void,
    onOver: () => void,
  ) {
    this.id = id;
    this.claims = claims;
    this.#services = services;
    this.#changed = changed;
    this.#onOver = onOver;
    const { rate, encoding, missions, startedAt } = claims;
    this.#run = streams.begin(
      { sampleRateHz: rate, encoding, channels: 1, missions, startedAt: isoTime(startedAt) },
      (note) => this.#hear(note),
    );
  }

  /** Samples that came, all of which will be decoded. */
  get received(): number {
    return this.#received / bytesPerRawSample(this.claims.encoding);
  }

  get window(): number {
    return Math.floor(WINDOW_SECONDS * this.claims.rate);
  }

  /** Takes whole samples. Throws a `Refusal` for a part of one, and when more come than may be on their way. */
  take(bytes: Uint8Array): void {
    const sampleBytes = bytesPerRawSample(this.claims.encoding);
    if (bytes.length % sampleBytes !== 0) {
      throw new Refusal(
        'request-malformed',
        `a message of ${bytes.length} bytes holds no whole samples of ${sampleBytes} bytes: send whole ones`,
      );
    }
    if (this.#received + bytes.length - this.#taken > this.window * sampleBytes) {
      throw new Refusal(
        'too-many-requests',
        `more than ${this.window} samples are on their way undecoded: wait for "ack"`,
        { limit: this.window },
      );
    }
    this.#received += bytes.length;
    this.#run.push(bytes);
  }

  /** Reads what came to its end. */
  end(): void {
    this.isEnding = true;
    this.#run.end();
  }

  /** Gives the stream up; what was kept stays. */
  async stop(): Promise<void> {
    this.#run.stop();
    await this.#keeping;
  }

  #hear(note: RunNote): void {
    switch (note.type) {
      case 'taken':
        this.#taken += note.bytes;
        this.onNote?.({ type: 'ack', samples: this.#taken / bytesPerRawSample(this.claims.encoding) });
        break;
      case 'heard': {
        const told = noteOf(note.event);
        if (told !== null) this.onNote?.(told);
        break;
      }
      case 'cut':
        this.#keeping = this.#keeping.then(() => this.#keep(note.cut));
        break;
      case 'ended':
        void this.#keeping.then(() => {
          this.onNote?.({ type: 'ended' });
          this.#onOver();
        });
        break;
      case 'failed':
        this.#services.complain(new Error(note.message), `decoding the stream of ${this.claims.station}`);
        this.onNote?.({ type: 'refused', code: 'internal', detail: 'the decoder failed: begin again', at: null });
        this.#onOver();
        break;
    }
  }

  async #keep({ wav, startSeconds }: Cut): Promise<void> {
    const { files, limits, complain } = this.#services;
    const { mission, station, vouched, phase } = this.claims;
    const startedAt = this.claims.startedAt + Math.round(1000 * startSeconds);
    try {
      if ((await files.freeBytes()) < limits.freeBytesKept + wav.length) {
        throw new Refusal('storage-full', 'the disk of the server has no room for what is heard: tell the team');
      }
      const incoming = await files.receive(Readable.from([wav]));
      const claims = { mission, station, vouched, phase, startedAt, fileName: null, bandClaim: null };
      const { recording } = await acceptRecording(this.#services, incoming, {
        ...claims,
        timeAccuracySeconds: LIVE_TIME_ACCURACY_SECONDS,
        timeBase: 'continuous',
      });
      this.#changed();
      this.onNote?.({ type: 'kept', recording: recordingId(recording.id), startedAt: isoTime(startedAt) });
    } catch (error) {
      if (error instanceof Refusal) {
        this.onNote?.({ type: 'refused', code: error.code, detail: error.message, at: null });
      } else complain(error, 'keeping what a station hears');
    }
  }
}

/** What a station is told of an event; null for what it is not. */
function noteOf(event: LiveEvent): ListenNote | null {
  switch (event.type) {
    case 'acquired':
      return event;
    case 'character': {
      const { type, provisional, reception, startSeconds, text, confidence } = event;
      return { type, provisional, reception, startSeconds, text, confidence };
    }
    case 'burst': {
      const { startSeconds, endSeconds, text } = event.burst;
      const frames = event.frames.map(({ mission, frame: { frame, text: printed, trust, confidence } }) => ({
        mission,
        frame,
        text: printed,
        trust,
        confidence,
      }));
      return { type: 'burst', startSeconds, endSeconds, text, receptions: [...event.receptions], frames };
    }
    default:
      return null;
  }
}

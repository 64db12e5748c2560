import { BurstCutter, createLiveDecoder, type LiveDecoder, type LiveEvent } from '../../../decoders/live/index.ts';
import { isPractice, withPractice } from '../../../decoders/mission/practice.ts';
import type { Mission } from '../../../decoders/mission/types.ts';
import { LiveSpectrum, type SpectrumColumn } from './spectrum.ts';

export interface ListeningOptions {
  readonly sampleRateHz: number;
  /** Each is listened for as it flies and as it is practised. */
  readonly missions: readonly Mission[];
  /** Keep everything, not the bursts alone. */
  readonly keepAll: boolean;
}

/** A stretch of audio worth keeping, as a WAV file. */
export interface HeardAudio {
  readonly wav: Uint8Array<ArrayBuffer>;
  readonly startMs: number;
  readonly seconds: number;
  readonly frames: number;
  /** Text of the burst; empty for a stretch kept whatever it holds. */
  readonly text: string;
  /** Something in it was sent for practice: it is rehearsal, whatever else is said of it. */
  readonly practice: boolean;
}

export type ListeningNote =
  /** `startMs` is when the unbroken stream of this number began, from which the event counts its seconds. */
  | { readonly type: 'heard'; readonly stream: number; readonly startMs: number; readonly event: LiveEvent }
  | { readonly type: 'spectrum'; readonly column: SpectrumColumn }
  | { readonly type: 'gap'; readonly fromMs: number; readonly toMs: number }
  | { readonly type: 'audio'; readonly audio: HeardAudio };

/** Samples that come so much later than they should were interrupted. */
const GAP_MS = 700;
/** Sound cards and clocks part by some parts in ten thousand: what is made up for with each block. */
const DRIFT_MS = 0.05;
/** Where everything is kept, it is cut into pieces of about this, between bursts if it can be. */
const PIECE_SECONDS = 120;
const MOST_PIECE_SECONDS = 190;
/** A sender is between its bursts when it was silent for so long. */
const QUIET_SECONDS = 2.5;

/** One unbroken stream of samples. */
interface Stream {
  readonly number: number;
  readonly decoder: LiveDecoder;
  readonly cutter: BurstCutter;
  startMs: number;
  /** Everything before this has been kept, where all is. */
  keptSeconds: number;
  lastHeardSeconds: number;
  /** All characters since `keptSeconds`, guessed and settled, where all is kept. */
  heardText: string;
}

/**
 * Listens to samples with their wall-clock times: an interruption ends the stream, which is read to its end, and what comes
 * after it is another stream.
 */
export class Listening {
  readonly #options: ListeningOptions;
  readonly #missions: readonly Mission[];
  readonly #tell: (note: ListeningNote) => void;
  readonly #spectrum: LiveSpectrum;
  #stream: Stream | null = null;
  #streams = 0;

  constructor(options: ListeningOptions, tell: (note: ListeningNote) => void) {
    this.#options = options;
    this.#missions = withPractice(options.missions);
    this.#tell = tell;
    this.#spectrum = new LiveSpectrum(options.sampleRateHz);
  }

  /** @param atMs wall clock when the last of the samples had come */
  take(samples: Float32Array, atMs: number): void {
    const beganMs = atMs - (1000 * samples.length) / this.#options.sampleRateHz;
    const running = this.#stream;
    if (running !== null) {
      const dueMs = running.startMs + 1000 * running.decoder.seconds;
      const lateMs = beganMs - dueMs;
      if (lateMs > GAP_MS) {
        this.end();
        this.#tell({ type: 'gap', fromMs: dueMs, toMs: beganMs });
      } else running.startMs += Math.max(-DRIFT_MS, Math.min(DRIFT_MS, lateMs));
    }
    this.#stream ??= this.#begin(beganMs);
    const stream = this.#stream;
    stream.cutter.take(samples);
    stream.decoder.push(samples, (event) => this.#hear(stream, event));
    this.#spectrum.take(samples, (column) => this.#tell({ type: 'spectrum', column }));
    if (this.#options.keepAll) this.#keepPiece(stream, false);
  }

  /** Reads what was heard to its end. */
  end(): void {
    const stream = this.#stream;
    if (stream === null) return;
    this.#stream = null;
    stream.decoder.end((event) => this.#hear(stream, event));
    if (this.#options.keepAll) this.#keepPiece(stream, true);
  }

  #begin(startMs: number): Stream {
    const { sampleRateHz } = this.#options;
    const missions = this.#missions;
    const startedAt = new Date(startMs).toISOString();
    return {
      number: this.#streams++,
      decoder: createLiveDecoder({ sampleRateHz, missions, startedAt }),
      cutter: new BurstCutter(sampleRateHz),
      startMs,
      keptSeconds: 0,
      lastHeardSeconds: Number.NEGATIVE_INFINITY,
      heardText: '',
    };
  }

  #hear(stream: Stream, event: LiveEvent): void {
    this.#tell({ type: 'heard', stream: stream.number, startMs: stream.startMs, event });
    if (event.type === 'character') {
      stream.lastHeardSeconds = event.endSeconds;
      if (this.#options.keepAll) stream.heardText += event.text;
    }
    if (event.type !== 'burst') return;
    const { burst, frames } = event;
    const texts = [burst.text, ...frames.map(({ frame }) => frame.text)];
    if (this.#options.keepAll) {
      stream.heardText += texts.join(' ');
      return;
    }
    const practice = texts.some(isPractice);
    this.#keep(stream, burst.startSeconds, burst.endSeconds, { frames: frames.length, text: burst.text, practice });
  }

  #keepPiece(stream: Stream, isLast: boolean): void {
    const { seconds } = stream.decoder;
    const length = seconds - stream.keptSeconds;
    const isQuiet = seconds - stream.lastHeardSeconds > QUIET_SECONDS;
    const isDue = isLast ? length > 1 : length > MOST_PIECE_SECONDS || (length > PIECE_SECONDS && isQuiet);
    if (!isDue) return;
    const practice = isPractice(stream.heardText);
    this.#keep(stream, stream.keptSeconds, seconds, { frames: 0, text: '', practice });
    stream.keptSeconds = seconds;
    stream.heardText = '';
  }

  #keep(
    stream: Stream,
    fromSeconds: number,
    toSeconds: number,
    what: Pick<HeardAudio, 'frames' | 'text' | 'practice'>,
  ): void {
    const startedAt = new Date(stream.startMs).toISOString();
    const { wav, startSeconds, endSeconds } = stream.cutter.cut(fromSeconds, toSeconds, startedAt);
    const startMs = stream.startMs + 1000 * startSeconds;
    const audio = { wav: new Uint8Array(wav), startMs, seconds: endSeconds - startSeconds, ...what };
    this.#tell({ type: 'audio', audio });
  }
}

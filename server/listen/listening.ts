import {
  BurstCutter,
  type CutOut,
  createLiveDecoder,
  type LiveDecoder,
  type LiveEvent,
  type RawEncoding,
  RawSamples,
} from '../../decoders/live/index.ts';
import type { Mission } from '../../decoders/mission/types.ts';

export interface StreamOptions {
  readonly sampleRateHz: number;
  readonly encoding: RawEncoding;
  /** Interleaved; the first is decoded. */
  readonly channels: number;
  readonly missions: readonly Mission[];
  /** When the first sample was received, ISO 8601. */
  readonly startedAt: string;
}

export type StreamNote =
  | { readonly type: 'heard'; readonly event: LiveEvent }
  /** A burst as a recording of its own, told before the burst itself. */
  | { readonly type: 'cut'; readonly cut: CutOut };

/** Bare samples in, what is heard out, with each burst cut out as a recording. */
export class StreamListening {
  readonly #options: StreamOptions;
  readonly #tell: (note: StreamNote) => void;
  readonly #raw: RawSamples;
  readonly #decoder: LiveDecoder;
  readonly #cutter: BurstCutter;

  /** @throws FiveunitError `sample-rate-out-of-range`. */
  constructor(options: StreamOptions, tell: (note: StreamNote) => void) {
    const { sampleRateHz, encoding, channels, missions, startedAt } = options;
    this.#options = options;
    this.#tell = tell;
    this.#raw = new RawSamples(encoding, channels);
    this.#decoder = createLiveDecoder({ sampleRateHz, missions, startedAt });
    this.#cutter = new BurstCutter(sampleRateHz);
  }

  /** Seconds of samples taken. */
  get seconds(): number {
    return this.#decoder.seconds;
  }

  take(bytes: Uint8Array): void {
    this.#raw.push(bytes, (samples) => this.takeSamples(samples));
  }

  /** Takes samples of one channel that have been read already. */
  takeSamples(samples: Float32Array): void {
    this.#cutter.take(samples);
    this.#decoder.push(samples, (event) => this.#hear(event));
  }

  end(): void {
    this.#decoder.end((event) => this.#hear(event));
  }

  #hear(event: LiveEvent): void {
    if (event.type === 'burst') {
      const { startSeconds, endSeconds } = event.burst;
      this.#tell({ type: 'cut', cut: this.#cutter.cut(startSeconds, endSeconds, this.#options.startedAt) });
    }
    this.#tell({ type: 'heard', event });
  }
}

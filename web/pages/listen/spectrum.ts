import { createDecimator, type Decimator, WORKING_RATE_HZ } from '../../../decoders/signal/decimate.ts';
import { createFft } from '../../../decoders/signal/fft.ts';

export const COLUMNS_A_SECOND = 20;
/** The highest frequency shown. */
export const HIGHEST_HZ = 3200;
const SIZE = 512;
const BIN_HZ = WORKING_RATE_HZ / SIZE;
export const SPECTRUM_BINS = Math.floor(HIGHEST_HZ / BIN_HZ);
const HOP = WORKING_RATE_HZ / COLUMNS_A_SECOND;
/** Decibels from the darkest to the brightest, and from the darkest to the noise. */
const RANGE_DB = 40;
const NOISE_DB = 8;
/** How fast the noise is followed, a column. */
const FOLLOWED = 0.03;

/** Strength of each frequency bin from the lowest, 0 to 255. */
export type SpectrumColumn = Uint8Array<ArrayBuffer>;

/** A running spectrum of a stream: a column every twentieth of a second, brightness counted from the noise about. */
export class LiveSpectrum {
  readonly #decimator: Decimator;
  readonly #fft = createFft(SIZE);
  readonly #window = Float64Array.from({ length: SIZE }, (_, i) => 0.5 - 0.5 * Math.cos((2 * Math.PI * i) / SIZE));
  readonly #samples = new Float32Array(SIZE);
  #fresh = 0;
  #noiseDb: number | null = null;

  constructor(sampleRateHz: number) {
    this.#decimator = createDecimator(sampleRateHz);
  }

  take(samples: Float32Array, onColumn: (column: SpectrumColumn) => void): void {
    this.#decimator.push(samples, (block) => {
      for (let at = 0; at < block.length; ) {
        const piece = block.subarray(at, at + HOP - this.#fresh);
        this.#samples.copyWithin(0, piece.length);
        this.#samples.set(piece, SIZE - piece.length);
        this.#fresh += piece.length;
        at += piece.length;
        if (this.#fresh < HOP) continue;
        this.#fresh = 0;
        onColumn(this.#column());
      }
    });
  }

  #column(): SpectrumColumn {
    const { input, output } = this.#fft;
    for (let i = 0; i < SIZE; i++) {
      input[2 * i] = this.#samples[i] * this.#window[i];
      input[2 * i + 1] = 0;
    }
    this.#fft.run();
    const db = new Float64Array(SPECTRUM_BINS);
    for (let k = 0; k < SPECTRUM_BINS; k++) {
      db[k] = 10 * Math.log10(output[2 * k] ** 2 + output[2 * k + 1] ** 2 + 1e-12);
    }
    const median = Float64Array.from(db).sort()[SPECTRUM_BINS >> 1];
    const before = this.#noiseDb ?? median;
    this.#noiseDb = before + FOLLOWED * (median - before);
    const lowest = this.#noiseDb - NOISE_DB;
    return Uint8Array.from(db, (level) => Math.max(0, Math.min(255, (255 * (level - lowest)) / RANGE_DB)));
  }
}

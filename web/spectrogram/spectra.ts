import { createFft, type Fft } from '../../decoders/signal/fft.ts';
import { SOUND_RATE_HZ } from '../sound/rate.ts';

const FFT_SIZE = 512;
export const BIN_HZ = SOUND_RATE_HZ / FFT_SIZE;
/** Rows of a spectrogram: 0 to 3.6 kHz, where the beacons' tones are. */
export const ROWS = 230;
export const TOP_HZ = ROWS * BIN_HZ;
/** Samples around the middle of a column that its finest spectrum is taken of: 32 ms, an element and a half. */
const SHORT_WINDOW = 256;

/** A level is a byte: half decibels above 120 dB below a full-scale sine. */
export const LEVELS_PER_DB = 2;
const LOWEST_DB = -120;

/** What columns are made of. */
export interface SpectraJob {
  /** At `SOUND_RATE_HZ`. */
  readonly samples: Float32Array;
  /** Where the first column begins among the samples; what lies outside of them is silence. */
  readonly first: number;
  /** Samples from one column to the next. */
  readonly step: number;
  readonly columns: number;
  /** Each column's samples stand alone: they are a piece of the time that the column stands for. */
  readonly sampled: boolean;
}

/**
 * Hann-windowed spectra, column by column: `ROWS` levels each, lowest frequency first. A column that is longer than a window
 * shows the most that any part of it holds, so that what is short is not lost where time is squeezed.
 */
export function spectraOf({ samples, first, step, columns, sampled }: SpectraJob): Uint8Array {
  const fft = createFft(FFT_SIZE);
  const size = step < SHORT_WINDOW / 2 ? SHORT_WINDOW : FFT_SIZE;
  const window = Float64Array.from({ length: size }, (_, i) => 0.5 - 0.5 * Math.cos((2 * Math.PI * (i + 0.5)) / size));
  // A sine of amplitude 1 has the power of (sum of the window / 2) squared.
  const full = (window.reduce((sum, w) => sum + w, 0) / 2) ** 2;
  const parts = sampled ? 1 : Math.max(1, Math.round((2 * step) / size));
  const powers = new Float64Array(ROWS);
  const levels = new Uint8Array(columns * ROWS);
  for (let column = 0; column < columns; column++) {
    powers.fill(0);
    for (let part = 0; part < parts; part++) {
      const middle = first + (column + (part + 0.5) / parts) * step;
      mostOf(samples, Math.round(middle - size / 2), window, fft, powers);
    }
    for (let row = 0; row < ROWS; row++) {
      const db = 10 * Math.log10(powers[row] / full + 1e-12);
      levels[column * ROWS + row] = Math.min(255, Math.max(0, Math.round((db - LOWEST_DB) * LEVELS_PER_DB)));
    }
  }
  return levels;
}

/** Raises `powers` to those of one window of samples. */
function mostOf(samples: Float32Array, from: number, window: Float64Array, fft: Fft, powers: Float64Array): void {
  const { input, output } = fft;
  input.fill(0);
  for (let i = 0; i < window.length; i++) {
    const sample = samples[from + i];
    if (sample !== undefined) input[2 * i] = window[i] * sample;
  }
  fft.run();
  for (let row = 0; row < powers.length; row++) {
    const power = output[2 * row] ** 2 + output[2 * row + 1] ** 2;
    if (power > powers[row]) powers[row] = power;
  }
}

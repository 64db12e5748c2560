import { WORKING_RATE_HZ } from './decimate.ts';
import { createFft } from './fft.ts';

/** Samples of a frame (32 ms) and between frames, at the working rate. */
export const FRAME = 256;
export const HOP = 128;
export const BIN_HZ = WORKING_RATE_HZ / FRAME;
/** Bins that are looked at: 281 to 3125 Hz. */
export const FIRST_BIN = 9;
export const BINS = 92;

export interface Spectrograph {
  /** Power in `BINS` bins from `FIRST_BIN` on, of the two frames last analysed. */
  readonly first: Float64Array;
  readonly second: Float64Array;
  /** Analyses the two frames that begin at `at` and at `at + HOP`. */
  analyse(samples: Float32Array, at: number): void;
}

/** Hann-windowed power spectra. Two real frames share one complex transform. */
export function createSpectrograph(): Spectrograph {
  const window = new Float64Array(FRAME);
  for (let i = 0; i < FRAME; i++) window[i] = 0.5 - 0.5 * Math.cos((2 * Math.PI * i) / FRAME);
  const fft = createFft(FRAME);
  const first = new Float64Array(BINS);
  const second = new Float64Array(BINS);
  return {
    first,
    second,
    analyse(samples, at) {
      weigh(samples, at, window, fft.input);
      fft.run();
      takePowers(fft.output, first, second);
    },
  };
}

function weigh(samples: Float32Array, at: number, window: Float64Array, pairs: Float64Array): void {
  for (let i = 0; i < FRAME; i++) {
    const weight = window[i];
    pairs[2 * i] = weight * samples[at + i];
    pairs[2 * i + 1] = weight * samples[at + i + HOP];
  }
}

/** With the frames as real and imaginary part, F1 = (X[k] + X*[N-k]) / 2 and F2 = (X[k] - X*[N-k]) / 2j. */
function takePowers(spectrum: Float64Array, first: Float64Array, second: Float64Array): void {
  for (let k = 0; k < BINS; k++) {
    const at = 2 * (FIRST_BIN + k);
    const mirror = 2 * (FRAME - FIRST_BIN - k);
    const sumRe = spectrum[at] + spectrum[mirror];
    const sumIm = spectrum[at + 1] + spectrum[mirror + 1];
    const lessRe = spectrum[at] - spectrum[mirror];
    const lessIm = spectrum[at + 1] - spectrum[mirror + 1];
    first[k] = (sumRe * sumRe + lessIm * lessIm) / 4;
    second[k] = (sumIm * sumIm + lessRe * lessRe) / 4;
  }
}

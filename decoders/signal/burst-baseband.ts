import { usualKernel } from './kernel/kernel.ts';

/** A stretch of signal around a burst, as complex samples about the middle of its two tones. */
export interface Baseband {
  readonly re: Float64Array;
  readonly im: Float64Array;
  readonly rateHz: number;
  /** Time of sample 0, seconds from the start of the recording. */
  readonly startSeconds: number;
}

export interface BasebandOptions {
  readonly sampleRateHz: number;
  readonly startSeconds: number;
  /** Frequency that becomes zero, at `centreSeconds`. */
  readonly centreHz: number;
  readonly centreSeconds: number;
  readonly driftHzPerSecond: number;
  readonly baud: number;
  readonly shiftHz: number;
}

const SAMPLES_PER_ELEMENT = 44;

/**
 * Mixes real samples down about the tones' middle, following a linear drift, and lowers the rate to about 44 samples an
 * element. The low-pass keeps both tones with two element rates around each, which leaves their correlations
 * untouched, and takes away the image at twice the centre.
 */
export function toBaseband(samples: Float32Array, options: BasebandOptions, kernel = usualKernel()): Baseband {
  const { sampleRateHz, startSeconds, centreHz, centreSeconds, driftHzPerSecond, baud, shiftHz } = options;
  const decimation = Math.max(1, Math.floor(sampleRateHz / (baud * SAMPLES_PER_ELEMENT)));
  const rateHz = sampleRateHz / decimation;
  const length = 12 * decimation + 9;
  // A Blackman window falls off over 5.5 / length: the cutoff lies half of that beyond what must pass untouched.
  const cutoffHz = Math.min(shiftHz / 2 + 2.5 * baud + (2.75 / length) * sampleRateHz, 0.45 * sampleRateHz);
  const taps = lowPass(cutoffHz / sampleRateHz, length);
  const count = Math.floor(samples.length / decimation);
  const re = new Float64Array(count);
  const im = new Float64Array(count);
  // The phase falls as a quadratic in time: -2 pi (centreHz t + drift t^2 / 2) at t seconds from the centre.
  const first = startSeconds - centreSeconds;
  const oscillator = {
    phase: -2 * Math.PI * (centreHz + 0.5 * driftHzPerSecond * first) * first,
    turn: (-2 * Math.PI * (centreHz + driftHzPerSecond * first)) / sampleRateHz,
    twist: (-2 * Math.PI * driftHzPerSecond) / (sampleRateHz * sampleRateHz),
  };
  kernel.mixDown(samples, oscillator, taps, decimation, re, im);
  return { re, im, rateHz, startSeconds };
}

/** Blackman-windowed ideal low-pass, unit gain at zero frequency, odd length; cutoff as a fraction of the rate. */
function lowPass(cutoff: number, length: number): Float64Array {
  const taps = new Float64Array(length | 1);
  const middle = (taps.length - 1) / 2;
  let sum = 0;
  for (let i = 0; i < taps.length; i++) {
    const x = i - middle;
    const ideal = x === 0 ? 2 * cutoff : Math.sin(2 * Math.PI * cutoff * x) / (Math.PI * x);
    const turn = (2 * Math.PI * (i + 1)) / (taps.length + 1);
    taps[i] = ideal * (0.42 - 0.5 * Math.cos(turn) + 0.08 * Math.cos(2 * turn));
    sum += taps[i];
  }
  for (let i = 0; i < taps.length; i++) taps[i] /= sum;
  return taps;
}

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
export function toBaseband(samples: Float32Array, options: BasebandOptions): Baseband {
  const { sampleRateHz, startSeconds, centreHz, centreSeconds, driftHzPerSecond, baud, shiftHz } = options;
  const decimation = Math.max(1, Math.floor(sampleRateHz / (baud * SAMPLES_PER_ELEMENT)));
  const rateHz = sampleRateHz / decimation;
  const length = 12 * decimation + 9;
  // A Blackman window falls off over 5.5 / length: the cutoff lies half of that beyond what must pass untouched.
  const cutoffHz = Math.min(shiftHz / 2 + 2.5 * baud + (2.75 / length) * sampleRateHz, 0.45 * sampleRateHz);
  const taps = lowPass(cutoffHz / sampleRateHz, length);
  const mixed = mix(samples, sampleRateHz, startSeconds - centreSeconds, centreHz, driftHzPerSecond);
  const count = Math.floor(samples.length / decimation);
  const re = new Float64Array(count);
  const im = new Float64Array(count);
  filterDown(mixed.re, taps, decimation, re);
  filterDown(mixed.im, taps, decimation, im);
  return { re, im, rateHz, startSeconds };
}

function mix(
  samples: Float32Array,
  rateHz: number,
  fromCentreSeconds: number,
  centreHz: number,
  driftHzPerSecond: number,
): { re: Float64Array; im: Float64Array } {
  const n = samples.length;
  const re = new Float64Array(n);
  const im = new Float64Array(n);
  // The phase is a quadratic in time: a rotator turned by a rotator, renewed now and then against rounding.
  const renewEvery = 4096;
  const twist = (-2 * Math.PI * driftHzPerSecond) / (rateHz * rateHz);
  const twistRe = Math.cos(twist);
  const twistIm = Math.sin(twist);
  for (let from = 0; from < n; from += renewEvery) {
    const to = Math.min(n, from + renewEvery);
    const t = fromCentreSeconds + from / rateHz;
    const phase = -2 * Math.PI * (centreHz * t + 0.5 * driftHzPerSecond * t * t);
    const turn = (-2 * Math.PI * (centreHz + driftHzPerSecond * (t + 0.5 / rateHz))) / rateHz;
    let cRe = Math.cos(phase);
    let cIm = Math.sin(phase);
    let wRe = Math.cos(turn);
    let wIm = Math.sin(turn);
    for (let i = from; i < to; i++) {
      const x = samples[i];
      re[i] = x * cRe;
      im[i] = x * cIm;
      const nextRe = cRe * wRe - cIm * wIm;
      cIm = cRe * wIm + cIm * wRe;
      cRe = nextRe;
      const nextTurn = wRe * twistRe - wIm * twistIm;
      wIm = wRe * twistIm + wIm * twistRe;
      wRe = nextTurn;
    }
  }
  return { re, im };
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

function filterDown(x: Float64Array, taps: Float64Array, decimation: number, out: Float64Array): void {
  const n = x.length;
  const length = taps.length;
  const half = (length - 1) >> 1;
  for (let o = 0; o < out.length; o++) {
    const first = o * decimation - half;
    const from = first < 0 ? -first : 0;
    const to = first + length > n ? n - first : length;
    let sum = 0;
    for (let k = from; k < to; k++) sum += taps[k] * x[first + k];
    out[o] = sum;
  }
}

import type { Baseband } from '../burst-baseband.ts';
import { WORKING_RATE_HZ } from '../decimate.ts';
import { kaiserBeta, kaiserTapCount, lowPassTaps } from '../fir.ts';

const ATTENUATION_DB = 45;
/** Rate of the band over its width: what is left over is where the filter falls. */
const OVERSAMPLING = 1.7;
/** Outputs after which the mixer's phase is taken anew, against rounding. */
const RENEW = 256;

/** A narrow band of a stream of real samples, as complex samples about its centre at a low rate. */
export interface Band {
  readonly rateHz: number;
  /** Complex samples since the beginning; sample n stands for stream time n / rateHz. */
  readonly written: number;
  /** The last `kept` of them, each twice, `kept` apart: stretch `placeOf(n)`.. lies in one piece. */
  readonly re: Float32Array;
  readonly im: Float32Array;
  readonly kept: number;
  /** Share of the energy of `samples` samples that white noise puts in tones (from the centre), on average. */
  noiseShare(tonesHz: readonly number[], samples: number): number;
  push(samples: Float32Array): void;
  /**
   * A copy of samples `from`.. as far as they are held; silence stands for what is not. It holds until the next is asked for:
   * fresh memory for every place looked at would soon be most of a long recording's garbage.
   */
  slice(from: number, count: number): Baseband;
}

/**
 * @param halfWidthHz how far from the centre signals pass unharmed.
 * @param keptSeconds how far back samples are held.
 */
export function createBand(centreHz: number, halfWidthHz: number, keptSeconds: number): Band {
  const decimation = Math.max(1, Math.floor(WORKING_RATE_HZ / (OVERSAMPLING * 2 * halfWidthHz)));
  const rateHz = WORKING_RATE_HZ / decimation;
  const count = kaiserTapCount(ATTENUATION_DB, (rateHz - 2 * halfWidthHz) / WORKING_RATE_HZ) | 1;
  const half = (count - 1) / 2;
  const lowPass = lowPassTaps(count, rateHz / 2 / WORKING_RATE_HZ, kaiserBeta(ATTENUATION_DB));
  const turn = (2 * Math.PI * centreHz) / WORKING_RATE_HZ;
  const tapsRe = Float32Array.from(lowPass, (tap, k) => tap * Math.cos(turn * (k - half)));
  const tapsIm = Float32Array.from(lowPass, (tap, k) => -tap * Math.sin(turn * (k - half)));
  const held = new Float32Array(count + 4096 + decimation);
  let filled = half;
  const kept = 2 ** Math.ceil(Math.log2(keptSeconds * rateHz));
  const re = new Float32Array(2 * kept);
  const im = new Float32Array(2 * kept);
  let written = 0;
  let slicedRe = new Float64Array(0);
  let slicedIm = new Float64Array(0);

  function pass(samples: Float32Array): void {
    held.set(samples, filled);
    filled += samples.length;
    const outputs = filled < count ? 0 : Math.floor((filled - count) / decimation) + 1;
    for (let done = 0; done < outputs; ) {
      const run = Math.min(outputs - done, RENEW - (written % RENEW));
      filterDown(held, done * decimation, decimation, tapsRe, tapsIm, turn * decimation, written, run, re, im, kept);
      done += run;
      written += run;
    }
    held.copyWithin(0, outputs * decimation, filled);
    filled -= outputs * decimation;
  }

  return {
    rateHz,
    get written() {
      return written;
    },
    re,
    im,
    kept,
    noiseShare: (tonesHz, samples) => shareOfNoise(lowPass, decimation, rateHz, tonesHz, samples),
    push(samples) {
      for (let from = 0; from < samples.length; from += 4096) pass(samples.subarray(from, from + 4096));
    },
    slice(from, length) {
      const last = Math.min(from + length, written);
      const first = Math.min(last, Math.max(from, 0, written - kept));
      const at = first % kept;
      if (slicedRe.length < length) {
        slicedRe = new Float64Array(length);
        slicedIm = new Float64Array(length);
      }
      const sliceRe = slicedRe.subarray(0, length).fill(0);
      const sliceIm = slicedIm.subarray(0, length).fill(0);
      if (first < last) {
        sliceRe.set(re.subarray(at, at + last - first), first - from);
        sliceIm.set(im.subarray(at, at + last - first), first - from);
      }
      return { re: sliceRe, im: sliceIm, rateHz, startSeconds: from / rateHz };
    },
  };
}

/** From the correlation r of filtered noise: E|z|^2 = sum over lags of (n - |lag|) r(lag) e^(-j w lag), over n E|x|^2. */
function shareOfNoise(
  lowPass: Float64Array,
  decimation: number,
  rateHz: number,
  tonesHz: readonly number[],
  samples: number,
): number {
  const correlation = (lag: number): number => {
    let sum = 0;
    for (let k = lag * decimation; k < lowPass.length; k++) sum += lowPass[k] * lowPass[k - lag * decimation];
    return sum;
  };
  let share = 0;
  for (const hz of tonesHz) {
    let power = samples * correlation(0);
    for (let lag = 1; lag < samples; lag++) {
      power += 2 * (samples - lag) * correlation(lag) * Math.cos((2 * Math.PI * hz * lag) / rateHz);
    }
    share += power / (samples * samples * correlation(0));
  }
  return share;
}

/** Filters, mixes down and lowers the rate in one: `turn` is how far the centre turns from one output to the next. */
function filterDown(
  x: Float32Array,
  at: number,
  decimation: number,
  tapsRe: Float32Array,
  tapsIm: Float32Array,
  turn: number,
  first: number,
  outputs: number,
  re: Float32Array,
  im: Float32Array,
  kept: number,
): void {
  const count = tapsRe.length;
  const wholeTurns = Math.floor((turn * (first - (first % RENEW))) / (2 * Math.PI));
  const base = turn * (first - (first % RENEW)) - 2 * Math.PI * wholeTurns;
  for (let n = 0; n < outputs; n++) {
    const from = at + n * decimation;
    let sumRe = 0;
    let sumIm = 0;
    for (let k = 0; k < count; k++) {
      const sample = x[from + k];
      sumRe += sample * tapsRe[k];
      sumIm += sample * tapsIm[k];
    }
    const phase = base + turn * ((first + n) % RENEW);
    const c = Math.cos(phase);
    const s = -Math.sin(phase);
    const place = (first + n) % kept;
    re[place] = sumRe * c - sumIm * s;
    im[place] = sumRe * s + sumIm * c;
    re[place + kept] = re[place];
    im[place + kept] = im[place];
  }
}

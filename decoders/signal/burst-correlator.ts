import type { Baseband } from './burst-baseband.ts';

/** Sums of correlators that rest, for those that begin. */
const spare: { re: Float64Array; im: Float64Array }[] = [];

/**
 * Correlation of a baseband with one tone over any window, in constant time: prefix sums of x exp(-j 2 pi f t), straight
 * lines between samples.
 */
export class ToneCorrelator {
  /** As many as there are samples, and one; null while it rests. */
  private sums: { re: Float64Array; im: Float64Array } | null = null;
  private offsetHz: number;
  private readonly baseband: Baseband;
  private readonly rateHz: number;
  private readonly startSeconds: number;
  /** Result of the last `correlate`, per sample: |z| of a tone of amplitude A over T seconds is A T rate. */
  re = 0;
  im = 0;

  constructor(baseband: Baseband, offsetHz: number) {
    this.baseband = baseband;
    this.rateHz = baseband.rateHz;
    this.startSeconds = baseband.startSeconds;
    this.offsetHz = offsetHz;
  }

  /** Moves on to another tone. */
  tuneTo(offsetHz: number): void {
    this.rest();
    this.offsetHz = offsetHz;
  }

  /** Gives the memory away that the sums take; who correlates again has them made again. */
  rest(): void {
    if (this.sums) spare.push(this.sums);
    this.sums = null;
  }

  private wake(): { re: Float64Array; im: Float64Array } {
    const { re, im, rateHz } = this.baseband;
    const length = re.length + 1;
    const found = spare.pop();
    const fits = found !== undefined && found.re.length >= length;
    this.sums = fits ? found : { re: new Float64Array(length), im: new Float64Array(length) };
    prefixSums(re, im, (2 * Math.PI * this.offsetHz) / rateHz, this.sums.re, this.sums.im);
    return this.sums;
  }

  /** Correlates over [from, to) seconds; outside of the baseband there is silence. Leaves the result in `re`, `im`. */
  correlate(fromSeconds: number, toSeconds: number): void {
    const { re, im } = this.sums ?? this.wake();
    const last = this.baseband.re.length;
    let a = (fromSeconds - this.startSeconds) * this.rateHz;
    let b = (toSeconds - this.startSeconds) * this.rateHz;
    a = a < 0 ? 0 : Math.min(a, last);
    b = b < 0 ? 0 : Math.min(b, last);
    const ia = a < last ? a | 0 : last - 1;
    const ib = b < last ? b | 0 : last - 1;
    const fa = a - ia;
    const fb = b - ib;
    this.re = re[ib] + fb * (re[ib + 1] - re[ib]) - re[ia] - fa * (re[ia + 1] - re[ia]);
    this.im = im[ib] + fb * (im[ib + 1] - im[ib]) - im[ia] - fa * (im[ia + 1] - im[ia]);
  }

  /** |z| over windows of `lengthSeconds` starting every `stepSeconds` from `fromSeconds`, one for each entry of `out`. */
  magnitudes(fromSeconds: number, stepSeconds: number, lengthSeconds: number, out: Float64Array): void {
    for (let i = 0; i < out.length; i++) {
      const from = fromSeconds + i * stepSeconds;
      this.correlate(from, from + lengthSeconds);
      out[i] = Math.sqrt(this.re * this.re + this.im * this.im);
    }
  }
}

function prefixSums(re: Float64Array, im: Float64Array, turn: number, sumRe: Float64Array, sumIm: Float64Array): void {
  const wRe = Math.cos(turn);
  const wIm = -Math.sin(turn);
  let cRe = 1;
  let cIm = 0;
  let accRe = 0;
  let accIm = 0;
  sumRe[0] = 0;
  sumIm[0] = 0;
  for (let i = 0; i < re.length; i++) {
    if ((i & 4095) === 0) {
      cRe = Math.cos(turn * i);
      cIm = -Math.sin(turn * i);
    }
    accRe += re[i] * cRe - im[i] * cIm;
    accIm += re[i] * cIm + im[i] * cRe;
    sumRe[i + 1] = accRe;
    sumIm[i + 1] = accIm;
    const next = cRe * wRe - cIm * wIm;
    cIm = cRe * wIm + cIm * wRe;
    cRe = next;
  }
}

/**
 * Correlation with one tone over stretches that follow each other: as a `ToneCorrelator` would give them, in one pass and
 * without its sums.
 *
 * @param out takes (re, im) of one stretch after the other, as many as go in.
 */
export function correlateParts(
  baseband: Baseband,
  offsetHz: number,
  fromSeconds: number,
  partSeconds: number,
  out: Float64Array,
): void {
  const { re, im, rateHz, startSeconds } = baseband;
  const first = (fromSeconds - startSeconds) * rateHz;
  sumParts(re, im, (2 * Math.PI * offsetHz) / rateHz, first, partSeconds * rateHz, out);
}

function sumParts(
  re: Float64Array,
  im: Float64Array,
  turn: number,
  first: number,
  step: number,
  out: Float64Array,
): void {
  const last = re.length - 1;
  const wRe = Math.cos(turn);
  const wIm = -Math.sin(turn);
  let cRe = 1;
  let cIm = 0;
  let accRe = 0;
  let accIm = 0;
  let beforeRe = 0;
  let beforeIm = 0;
  let i = 0;
  for (let border = 0; 2 * border <= out.length; border++) {
    const place = Math.max(0, Math.min(first + border * step, last + 1));
    const whole = Math.min(place | 0, last);
    for (; i < whole; i++) {
      if ((i & 4095) === 0) {
        cRe = Math.cos(turn * i);
        cIm = -Math.sin(turn * i);
      }
      accRe += re[i] * cRe - im[i] * cIm;
      accIm += re[i] * cIm + im[i] * cRe;
      const next = cRe * wRe - cIm * wIm;
      cIm = cRe * wIm + cIm * wRe;
      cRe = next;
    }
    // The border lies within this sample.
    const share = place - whole;
    const hereRe = accRe + share * (re[i] * cRe - im[i] * cIm);
    const hereIm = accIm + share * (re[i] * cIm + im[i] * cRe);
    if (border > 0) {
      out[2 * border - 2] = hereRe - beforeRe;
      out[2 * border - 1] = hereIm - beforeIm;
    }
    beforeRe = hereRe;
    beforeIm = hereIm;
  }
}

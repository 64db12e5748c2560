import type { Baseband } from './burst-baseband.ts';

/**
 * Correlation of a baseband with one tone over any window, in constant time: prefix sums of x exp(-j 2 pi f t), straight
 * lines between samples.
 */
export class ToneCorrelator {
  private readonly sumRe: Float64Array;
  private readonly sumIm: Float64Array;
  private readonly rateHz: number;
  private readonly startSeconds: number;
  /** Result of the last `correlate`, per sample: |z| of a tone of amplitude A over T seconds is A T rate. */
  re = 0;
  im = 0;

  constructor(baseband: Baseband, offsetHz: number) {
    const { re, im, rateHz } = baseband;
    const n = re.length;
    this.rateHz = rateHz;
    this.startSeconds = baseband.startSeconds;
    this.sumRe = new Float64Array(n + 1);
    this.sumIm = new Float64Array(n + 1);
    prefixSums(re, im, (2 * Math.PI * offsetHz) / rateHz, this.sumRe, this.sumIm);
  }

  /** Correlates over [from, to) seconds; outside of the baseband there is silence. Leaves the result in `re`, `im`. */
  correlate(fromSeconds: number, toSeconds: number): void {
    const last = this.sumRe.length - 1;
    let a = (fromSeconds - this.startSeconds) * this.rateHz;
    let b = (toSeconds - this.startSeconds) * this.rateHz;
    a = a < 0 ? 0 : Math.min(a, last);
    b = b < 0 ? 0 : Math.min(b, last);
    const ia = a < last ? a | 0 : last - 1;
    const ib = b < last ? b | 0 : last - 1;
    const fa = a - ia;
    const fb = b - ib;
    const re = this.sumRe;
    const im = this.sumIm;
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

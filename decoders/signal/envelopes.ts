import { WORKING_RATE_HZ } from './decimate.ts';

/** The table's frequency is renewed so often, for tones that drift. */
const RENEW_SECONDS = 0.25;
const LONGEST_SLOT = 256;

/** Complex sums of a tone over equal slots of time. */
export interface ToneSums {
  readonly re: Float64Array;
  readonly im: Float64Array;
}

export function createToneSums(slots: number): ToneSums {
  return { re: new Float64Array(slots), im: new Float64Array(slots) };
}

const tableRe = new Float64Array(LONGEST_SLOT);
const tableIm = new Float64Array(LONGEST_SLOT);

/**
 * Correlates samples with a drifting tone over `count` slots that follow each other without a gap; phases are those of
 * one oscillator, so that neighbouring sums may be added to longer ones.
 *
 * @param at where the first slot begins.
 * @param slotSamples length of a slot, at most 255; fractions count, each border is rounded.
 * @param hz frequency at the first sample.
 */
export function correlateTone(
  samples: Float32Array,
  at: number,
  slotSamples: number,
  count: number,
  hz: number,
  hzPerSecond: number,
  sums: ToneSums,
): void {
  const group = Math.max(1, Math.floor((RENEW_SECONDS * WORKING_RATE_HZ) / slotSamples));
  const oscillator = { re: 1, im: 0 };
  for (let slot = 0; slot < count; slot += group) {
    const last = Math.min(count, slot + group);
    const middle = ((slot + last) / 2) * (slotSamples / WORKING_RATE_HZ);
    const step = (2 * Math.PI * (hz + hzPerSecond * middle)) / WORKING_RATE_HZ;
    fillTable(step, Math.ceil(slotSamples) + 1, tableRe, tableIm);
    correlateSlots(samples, at, slotSamples, slot, last, tableRe, tableIm, oscillator, sums.re, sums.im);
  }
}

/** e^(-j step i) for i = 0..length, by turning on from one to the next. */
function fillTable(step: number, length: number, re: Float64Array, im: Float64Array): void {
  const c = Math.cos(step);
  const s = -Math.sin(step);
  re[0] = 1;
  im[0] = 0;
  for (let i = 0; i < length; i++) {
    re[i + 1] = re[i] * c - im[i] * s;
    im[i + 1] = re[i] * s + im[i] * c;
  }
}

function correlateSlots(
  samples: Float32Array,
  at: number,
  slotSamples: number,
  first: number,
  last: number,
  tableRe: Float64Array,
  tableIm: Float64Array,
  oscillator: { re: number; im: number },
  re: Float64Array,
  im: Float64Array,
): void {
  let turnRe = oscillator.re;
  let turnIm = oscillator.im;
  let from = Math.round(first * slotSamples);
  for (let n = first; n < last; n++) {
    const to = Math.round((n + 1) * slotSamples);
    const start = at + from;
    const length = to - from;
    // Two of each, so that one sum need not wait for the other.
    let evenRe = 0;
    let evenIm = 0;
    let oddRe = 0;
    let oddIm = 0;
    let i = 0;
    for (; i + 1 < length; i += 2) {
      const even = samples[start + i];
      const odd = samples[start + i + 1];
      evenRe += even * tableRe[i];
      evenIm += even * tableIm[i];
      oddRe += odd * tableRe[i + 1];
      oddIm += odd * tableIm[i + 1];
    }
    if (i < length) {
      evenRe += samples[start + i] * tableRe[i];
      evenIm += samples[start + i] * tableIm[i];
    }
    const sumRe = evenRe + oddRe;
    const sumIm = evenIm + oddIm;
    re[n] = sumRe * turnRe - sumIm * turnIm;
    im[n] = sumRe * turnIm + sumIm * turnRe;
    const onRe = turnRe * tableRe[length] - turnIm * tableIm[length];
    turnIm = turnRe * tableIm[length] + turnIm * tableRe[length];
    turnRe = onRe;
    from = to;
  }
  oscillator.re = turnRe;
  oscillator.im = turnIm;
}

/**
 * The keying, level-free and bounded: d = (|a| - |b|) / (|a| + |b|) with both tones' sums over `slots` slots from n on.
 * Returns how many values there are.
 */
export function keying(a: ToneSums, b: ToneSums, count: number, slots: number, d: Float64Array): number {
  return differ(a.re, a.im, b.re, b.im, count, slots, d);
}

function differ(
  aRe: Float64Array,
  aIm: Float64Array,
  bRe: Float64Array,
  bIm: Float64Array,
  count: number,
  slots: number,
  d: Float64Array,
): number {
  const values = count - slots + 1;
  for (let n = 0; n < values; n++) {
    let ar = 0;
    let ai = 0;
    let br = 0;
    let bi = 0;
    for (let k = n; k < n + slots; k++) {
      ar += aRe[k];
      ai += aIm[k];
      br += bRe[k];
      bi += bIm[k];
    }
    const a = Math.sqrt(ar * ar + ai * ai);
    const b = Math.sqrt(br * br + bi * bi);
    d[n] = a + b > 0 ? (a - b) / (a + b) : 0;
  }
  return Math.max(0, values);
}

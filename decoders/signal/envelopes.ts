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
 * @param slotSamples length of a slot; fractions count, each border is rounded.
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
  for (let slot = 0; slot < count; slot += group) {
    const last = Math.min(count, slot + group);
    const middle = ((slot + last) / 2) * (slotSamples / WORKING_RATE_HZ);
    const step = (2 * Math.PI * (hz + hzPerSecond * middle)) / WORKING_RATE_HZ;
    fillTable(step, Math.ceil(slotSamples) + 1, tableRe, tableIm);
    for (let n = slot; n < last; n++) {
      const from = Math.round(n * slotSamples);
      const length = Math.round((n + 1) * slotSamples) - from;
      const seconds = from / WORKING_RATE_HZ;
      const turns = seconds * (hz + 0.5 * hzPerSecond * seconds);
      dot(
        samples,
        at + from,
        length,
        tableRe,
        tableIm,
        -2 * Math.PI * (turns - Math.floor(turns)),
        sums.re,
        sums.im,
        n,
      );
    }
  }
}

function fillTable(step: number, length: number, re: Float64Array, im: Float64Array): void {
  for (let i = 0; i < length; i++) {
    re[i] = Math.cos(step * i);
    im[i] = -Math.sin(step * i);
  }
}

function dot(
  samples: Float32Array,
  at: number,
  length: number,
  tableRe: Float64Array,
  tableIm: Float64Array,
  phase: number,
  re: Float64Array,
  im: Float64Array,
  n: number,
): void {
  let sumRe = 0;
  let sumIm = 0;
  for (let i = 0; i < length; i++) {
    const x = samples[at + i];
    sumRe += x * tableRe[i];
    sumIm += x * tableIm[i];
  }
  const c = Math.cos(phase);
  const s = Math.sin(phase);
  re[n] = sumRe * c - sumIm * s;
  im[n] = sumRe * s + sumIm * c;
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

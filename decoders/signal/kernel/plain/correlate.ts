import type { Slots, Tone } from '../kernel.ts';
import { slotsPerGroup, stepAt } from '../tone-groups.ts';

const LONGEST_SLOT = 256;
const tableRe = new Float64Array(LONGEST_SLOT);
const tableIm = new Float64Array(LONGEST_SLOT);

/** See `Kernel.correlateTones`. */
export function correlateTone(samples: Float32Array, slots: Slots, tone: Tone): void {
  const { at, samples: slotSamples, count } = slots;
  const group = slotsPerGroup(slots);
  const oscillator = { re: 1, im: 0 };
  const { re, im } = tone.sums;
  for (let first = 0; first < count; first += group) {
    const last = Math.min(count, first + group);
    fillTable(stepAt(tone, slots, first, last), Math.ceil(slotSamples) + 1, tableRe, tableIm);
    correlateSlots(samples, at, slotSamples, first, last, tableRe, tableIm, oscillator, re, im);
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

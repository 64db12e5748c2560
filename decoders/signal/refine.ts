import type { ToneSums } from './envelopes.ts';
import { PER_ELEMENT } from './fold.ts';

/** How far two tones and their common drift lie from where they were correlated; frequencies at the stretch's middle. */
export interface Offsets {
  readonly lowHz: number;
  readonly highHz: number;
  readonly hzPerSecond: number;
}

const ROUNDS = 3;
/** First step, in speeds; half of it in each further round. */
const STEP = 0.15;

/**
 * Climbs the energy that the tones hold while they are keyed. The sums over slots are turned to other frequencies instead
 * of correlating the samples again: a slot is a quarter of an element, too short for an offset of half a speed to matter.
 *
 * @param d keying, positive where the high tone is keyed; `values` of them, each over `PER_ELEMENT` sums.
 */
export function refineTones(
  low: ToneSums,
  high: ToneSums,
  d: Float64Array,
  values: number,
  slotSeconds: number,
  from: Offsets,
): Offsets {
  let { lowHz, highHz, hzPerSecond } = from;
  let step = STEP / (slotSeconds * PER_ELEMENT);
  const energy = (sums: ToneSums, sign: 1 | -1, hz: number, rate: number): number =>
    keyedEnergy(sums.re, sums.im, d, values, sign, hz, rate, slotSeconds);
  for (let round = 0; round < ROUNDS; round++) {
    // A drift wrong by this much leaves the ends of the stretch as far off as `step` leaves a tone.
    const rateStep = (2 * step) / (values * slotSeconds);
    const both = (rate: number): number => energy(low, -1, lowHz, rate) + energy(high, 1, highHz, rate);
    const tune = (sums: ToneSums, sign: 1 | -1, hz: number): number =>
      hz +
      step *
        vertex(
          energy(sums, sign, hz - step, hzPerSecond),
          energy(sums, sign, hz, hzPerSecond),
          energy(sums, sign, hz + step, hzPerSecond),
        );
    hzPerSecond += rateStep * vertex(both(hzPerSecond - rateStep), both(hzPerSecond), both(hzPerSecond + rateStep));
    lowHz = tune(low, -1, lowHz);
    highHz = tune(high, 1, highHz);
    step /= 2;
  }
  return { lowHz, highHz, hzPerSecond };
}

/** Sum of |tone|^2 over whole elements, where and as far as it is keyed. */
function keyedEnergy(
  re: Float64Array,
  im: Float64Array,
  d: Float64Array,
  values: number,
  sign: 1 | -1,
  hz: number,
  hzPerSecond: number,
  slotSeconds: number,
): number {
  const turn = -2 * Math.PI * slotSeconds;
  const first = hz - (hzPerSecond * slotSeconds * values) / 2;
  let c = Math.cos(turn * first);
  let s = Math.sin(turn * first);
  const cStep = Math.cos(turn * hzPerSecond * slotSeconds);
  const sStep = Math.sin(turn * hzPerSecond * slotSeconds);
  let energy = 0;
  for (let n = 0; n < values; n++) {
    const weight = sign * d[n];
    if (weight > 0) {
      let r = re[n + 3];
      let i = im[n + 3];
      let next = r * c - i * s + re[n + 2];
      i = r * s + i * c + im[n + 2];
      r = next;
      next = r * c - i * s + re[n + 1];
      i = r * s + i * c + im[n + 1];
      r = next;
      next = r * c - i * s + re[n];
      i = r * s + i * c + im[n];
      energy += weight * (next * next + i * i);
    }
    const on = c * cStep - s * sStep;
    s = c * sStep + s * cStep;
    c = on;
  }
  return energy;
}

/** Where a parabola through three equally spaced values has its maximum, -1.5..1.5 steps from the middle one. */
function vertex(before: number, middle: number, after: number): number {
  const curve = before - 2 * middle + after;
  if (curve >= 0) return before > after ? -1 : 1;
  return Math.max(-1.5, Math.min(1.5, (before - after) / (2 * curve)));
}

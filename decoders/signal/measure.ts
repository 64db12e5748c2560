import type { StopElements } from '../mission/types.ts';
import { keyedRange, lookAt, looksLikeText, readElements } from './confirm.ts';
import { WORKING_RATE_HZ } from './decimate.ts';
import type { ToneSums } from './envelopes.ts';
import { correlateTone, createToneSums, keying } from './envelopes.ts';
import type { Fold } from './fold.ts';
import { foldStartStop, PER_ELEMENT, significance } from './fold.ts';
import type { SampleRing } from './sample-ring.ts';
import { placeOf } from './sample-ring.ts';

/** A stretch of samples and the two tones thought to be keyed in it. */
export interface Suspect {
  readonly startSample: number;
  readonly endSample: number;
  /** Tones at the middle of the stretch. */
  readonly lowHz: number;
  readonly highHz: number;
  readonly driftHzPerSecond: number;
}

/** A stretch in which start-stop keying was found. Frequencies hold at `middleSeconds`. */
export interface Hit {
  readonly startSeconds: number;
  readonly endSeconds: number;
  readonly middleSeconds: number;
  readonly baud: number;
  readonly stopElements: StopElements;
  readonly markHz: number;
  readonly spaceHz: number;
  readonly driftHzPerSecond: number;
  readonly characterPhaseSeconds: number;
  readonly characterPeriodSeconds: number;
  readonly score: number;
  /** What decides between readings of the same signal; comparable across speeds and stop lengths. */
  readonly merit: number;
}

/** In this order when nothing else decides. */
const STOPS: readonly StopElements[] = [1.5, 1, 2, 1.42];
const BAUD_TOLERANCE = 0.013;
const LEAST_FIRST_Z = 3.2;

export interface Speed {
  readonly baud: number;
  readonly stopElements: StopElements;
}

/** Speeds with stop lengths that make up this character rate. */
export function speedsFor(
  characterHz: number,
  bauds: readonly number[],
  stops: readonly StopElements[] = STOPS,
): Speed[] {
  const speeds: Speed[] = [];
  for (const stopElements of stops) {
    const measured = characterHz * (6 + stopElements);
    for (const baud of bauds) {
      if (Math.abs(measured / baud - 1) < BAUD_TOLERANCE) speeds.push({ baud, stopElements });
    }
  }
  return speeds;
}

/** A reading must be so much better than an earlier one. */
const MARGIN = 1.01;
/** Clocks are seldom wrong: what a speed off the list by all of the tolerance costs. */
const OFF_LIST_COST = 0.03;
/** What is left of a shift when it has been measured: 85 Hz and 0.6 of the speed are the least that is looked for. */
const LEAST_SHIFT_HZ = 72;
const LEAST_INDEX = 0.55;
/** Hum and sub-audible tones lie below. */
const LOWEST_HZ = 280;
/** Keyed nearer than this (in speeds), tones are looked for farther apart: their lobes overlap. */
const LEAST_PROBE_INDEX = 1.1;

export interface Measurer {
  /** Looks closely; undefined when it is no five-unit start-stop keying at one of these speeds. */
  measure(ring: SampleRing, suspect: Suspect, characterHz: number, speeds: readonly Speed[]): Hit | undefined;
}

const MOST_SLOTS = 4096;

export function createMeasurer(): Measurer {
  const low = createToneSums(MOST_SLOTS);
  const high = createToneSums(MOST_SLOTS);
  const trial = createToneSums(MOST_SLOTS);
  const d = new Float64Array(MOST_SLOTS);

  function key(ring: SampleRing, suspect: Suspect, slot: number, count: number): number {
    const at = placeOf(ring, suspect.startSample);
    const before = (suspect.endSample - suspect.startSample) / 2 / WORKING_RATE_HZ;
    const { driftHzPerSecond: drift, lowHz, highHz } = suspect;
    const leastShift = (LEAST_PROBE_INDEX * WORKING_RATE_HZ) / (slot * PER_ELEMENT);
    const spread = Math.max(0, leastShift - (highHz - lowHz)) / 2 + drift * before;
    correlateTone(ring.samples, at, slot, count, lowHz - spread, drift, low);
    correlateTone(ring.samples, at, slot, count, highHz + spread - 2 * drift * before, drift, high);
    return keying(high, low, count, PER_ELEMENT, d);
  }

  /** Sum of |tone|^2 where it is keyed. */
  function energyAt(
    ring: SampleRing,
    suspect: Suspect,
    slot: number,
    count: number,
    hz: number,
    drift: number,
    sign: 1 | -1,
  ): number {
    const before = (suspect.endSample - suspect.startSample) / 2 / WORKING_RATE_HZ;
    correlateTone(ring.samples, placeOf(ring, suspect.startSample), slot, count, hz - drift * before, drift, trial);
    return keyedEnergy(trial, d, count - PER_ELEMENT + 1, sign);
  }

  function refine(ring: SampleRing, suspect: Suspect, slot: number, count: number): Suspect {
    const { lowHz, highHz, driftHzPerSecond: drift } = suspect;
    const step = (0.15 * WORKING_RATE_HZ) / (slot * PER_ELEMENT);
    const tune = (hz: number, sign: 1 | -1): number =>
      hz +
      step *
        vertex(
          energyAt(ring, suspect, slot, count, hz - step, drift, sign),
          energyAt(ring, suspect, slot, count, hz, drift, sign),
          energyAt(ring, suspect, slot, count, hz + step, drift, sign),
        );
    const seconds = (suspect.endSample - suspect.startSample) / WORKING_RATE_HZ;
    // A drift wrong by this much leaves the ends of the stretch as far off as `step` leaves a tone.
    const rateStep = (2 * step) / seconds;
    const both = (rate: number): number =>
      energyAt(ring, suspect, slot, count, highHz, rate, 1) + energyAt(ring, suspect, slot, count, lowHz, rate, -1);
    const rate = drift + rateStep * vertex(both(drift - rateStep), both(drift), both(drift + rateStep));
    return { ...suspect, lowHz: tune(lowHz, -1), highHz: tune(highHz, 1), driftHzPerSecond: rate };
  }

  return {
    measure(ring, suspect, characterHz, speeds) {
      let best: Hit | undefined;
      for (const { baud, stopElements } of speeds) {
        const slot = WORKING_RATE_HZ / baud / PER_ELEMENT;
        const period = WORKING_RATE_HZ / characterHz / slot;
        const count = Math.min(MOST_SLOTS, Math.floor((suspect.endSample - suspect.startSample) / slot));
        const values = key(ring, suspect, slot, count);
        const [first] = foldStartStop(d, values, stopElements, period);
        if (first === undefined || significance(d, values, first) < LEAST_FIRST_Z) continue;
        const refined = refine(ring, suspect, slot, count);
        key(ring, refined, slot, count);
        if (refined.lowHz < LOWEST_HZ) continue;
        if (refined.highHz - refined.lowHz < Math.max(LEAST_SHIFT_HZ, LEAST_INDEX * baud)) continue;
        for (const fold of foldStartStop(d, values, stopElements, period)) {
          const elements = readElements(d, values, fold);
          const range = keyedRange(elements);
          const look = lookAt(elements, ...range);
          if (!looksLikeText(look)) continue;
          const measured = (6 + stopElements) / (fold.period * (slot / WORKING_RATE_HZ));
          const merit = look.clarity * (1 - (OFF_LIST_COST * Math.abs(measured / baud - 1)) / BAUD_TOLERANCE);
          if (merit > MARGIN * (best?.merit ?? 0)) best = hitOf(refined, fold, range, slot, look.z, merit);
        }
      }
      return best;
    },
  };
}

function keyedEnergy(sums: ToneSums, d: Float64Array, values: number, sign: 1 | -1): number {
  const { re, im } = sums;
  let energy = 0;
  for (let n = 0; n < values; n++) {
    const weight = sign * d[n];
    if (weight <= 0) continue;
    let r = 0;
    let i = 0;
    for (let k = n; k < n + PER_ELEMENT; k++) {
      r += re[k];
      i += im[k];
    }
    energy += weight * (r * r + i * i);
  }
  return energy;
}

/** Where a parabola through three equally spaced values has its maximum, -1.5..1.5 steps from the middle one. */
function vertex(before: number, middle: number, after: number): number {
  const curve = before - 2 * middle + after;
  if (curve >= 0) return before > after ? -1 : 1;
  return Math.max(-1.5, Math.min(1.5, (before - after) / (2 * curve)));
}

function hitOf(
  suspect: Suspect,
  fold: Fold,
  [from, to]: [number, number],
  slot: number,
  score: number,
  merit: number,
): Hit {
  const { polarity, period } = fold;
  const slotSeconds = slot / WORKING_RATE_HZ;
  const start = suspect.startSample / WORKING_RATE_HZ;
  const first = fold.start - Math.floor(fold.start / period) * period;
  const characterPeriodSeconds = period * slotSeconds;
  const markHz = polarity === 1 ? suspect.highHz : suspect.lowHz;
  const spaceHz = polarity === 1 ? suspect.lowHz : suspect.highHz;
  return {
    startSeconds: start + (first + from * period) * slotSeconds,
    endSeconds: start + (first + to * period) * slotSeconds,
    middleSeconds: (suspect.startSample + suspect.endSample) / 2 / WORKING_RATE_HZ,
    baud: (6 + fold.stopElements) / characterPeriodSeconds,
    stopElements: fold.stopElements,
    markHz,
    spaceHz,
    driftHzPerSecond: suspect.driftHzPerSecond,
    characterPhaseSeconds: start + fold.start * slotSeconds,
    characterPeriodSeconds,
    score,
    merit,
  };
}

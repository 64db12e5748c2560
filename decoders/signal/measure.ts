import type { StopElements } from '../mission/types.ts';
import { keyedRange, lookAt, looksLikeText, readElements } from './confirm.ts';
import { WORKING_RATE_HZ } from './decimate.ts';
import { createToneSums, keying } from './envelopes.ts';
import type { Fold } from './fold.ts';
import { COARSE_STEPS, FINE_STEPS, foldStartStop, PER_ELEMENT, significance } from './fold.ts';
import type { Kernel } from './kernel/kernel.ts';
import type { Offsets } from './refine.ts';
import { refineTones } from './refine.ts';
import type { SampleRing } from './sample-ring.ts';
import { placeOf } from './sample-ring.ts';
import type { Acquisition } from './types.ts';

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
export interface Hit extends Acquisition {
  readonly middleSeconds: number;
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
/** The keying gets clearer as the tones get truer, and they as it. */
const REFINEMENTS = 2;

export function createMeasurer(kernel: Kernel): Measurer {
  const low = createToneSums(MOST_SLOTS);
  const high = createToneSums(MOST_SLOTS);
  const d = new Float64Array(MOST_SLOTS);

  /** Correlates both tones into `low` and `high`, each `spread` Hz outside its place, and their keying into `d`. */
  function key(ring: SampleRing, suspect: Suspect, slot: number, count: number, spread: number): number {
    const at = placeOf(ring, suspect.startSample);
    const before = (suspect.endSample - suspect.startSample) / 2 / WORKING_RATE_HZ;
    const { driftHzPerSecond: drift, lowHz, highHz } = suspect;
    kernel.correlateTones(ring.samples, { at, samples: slot, count, sampleRateHz: WORKING_RATE_HZ }, [
      { hz: lowHz - spread - drift * before, hzPerSecond: drift, sums: low },
      { hz: highHz + spread - drift * before, hzPerSecond: drift, sums: high },
    ]);
    return keying(high, low, count, PER_ELEMENT, d);
  }

  return {
    measure(ring, suspect, characterHz, speeds) {
      let best: Hit | undefined;
      for (const baud of new Set(speeds.map((speed) => speed.baud))) {
        const slot = WORKING_RATE_HZ / baud / PER_ELEMENT;
        const period = WORKING_RATE_HZ / characterHz / slot;
        const count = Math.min(MOST_SLOTS, Math.floor((suspect.endSample - suspect.startSample) / slot));
        const spreadOf = ({ lowHz, highHz }: Suspect): number =>
          Math.max(0, LEAST_PROBE_INDEX * baud - (highHz - lowHz)) / 2;
        let spread = spreadOf(suspect);
        const values = key(ring, suspect, slot, count, spread);
        const stops = speeds
          .filter((speed) => speed.baud === baud && startsAndStops(d, values, speed.stopElements, period))
          .map((speed) => speed.stopElements);
        if (stops.length === 0) continue;
        let refined = suspect;
        for (let i = 0; i < REFINEMENTS; i++) {
          const inward = { lowHz: spread, highHz: -spread, hzPerSecond: 0 };
          refined = moved(refined, refineTones(low, high, d, values, slot / WORKING_RATE_HZ, inward), spread);
          spread = spreadOf(refined);
          key(ring, refined, slot, count, spread);
        }
        if (refined.lowHz < LOWEST_HZ) continue;
        if (refined.highHz - refined.lowHz < Math.max(LEAST_SHIFT_HZ, LEAST_INDEX * baud)) continue;
        for (const fold of stops.flatMap((stop) => foldStartStop(d, values, stop, period, FINE_STEPS))) {
          const elements = readElements(d, values, fold);
          const range = keyedRange(elements);
          const look = lookAt(elements, ...range);
          if (!looksLikeText(look)) continue;
          const measured = (6 + fold.stopElements) / (fold.period * (slot / WORKING_RATE_HZ));
          const merit = look.clarity * (1 - (OFF_LIST_COST * Math.abs(measured / baud - 1)) / BAUD_TOLERANCE);
          if (merit > MARGIN * (best?.merit ?? 0)) best = hitOf(refined, fold, range, slot, look.z, merit);
        }
      }
      return best;
    },
  };
}

/** A first look, before the tones are refined. */
function startsAndStops(d: Float64Array, values: number, stopElements: StopElements, period: number): boolean {
  const [fold] = foldStartStop(d, values, stopElements, period, COARSE_STEPS);
  return fold !== undefined && significance(d, values, fold) > LEAST_FIRST_Z;
}

/** The suspect with its tones where the offsets say, counted from `spread` Hz outside of them. */
function moved(suspect: Suspect, { lowHz, highHz, hzPerSecond }: Offsets, spread: number): Suspect {
  return {
    ...suspect,
    lowHz: suspect.lowHz - spread + lowHz,
    highHz: suspect.highHz + spread + highHz,
    driftHzPerSecond: suspect.driftHzPerSecond + hzPerSecond,
  };
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

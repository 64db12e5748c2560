import type { StopElements } from '../mission/types.ts';

/** Values of the keying per element, and their distance from a character's start element to its stop element. */
export const PER_ELEMENT = 4;
const TO_STOP = 6 * PER_ELEMENT;

/** Where characters stand in a stretch of keying; places and periods in values of d. */
export interface Fold {
  readonly stopElements: StopElements;
  readonly period: number;
  /** Place of one character's start element (its value of d), the one next to the middle of the stretch. */
  readonly start: number;
  /** 1 when positive d is mark, -1 when it is space. */
  readonly polarity: 1 | -1;
}

/** The period is sought so far on either side of the one expected, in so many steps. */
const PERIOD_REACH = 0.006;
export const COARSE_STEPS = 2;
export const FINE_STEPS = 6;
/** What clear data elements count beside start and stop, when the place of the characters is sought. */
const EYE_WEIGHT = 0.5;
/** Places that come so near the best are given too: repeated characters fit in several ways. */
const RIVAL_SHARE = 0.85;
const MOST_FOLDS = 4;

const merits = new Float64Array(256);
const sums = new Float64Array(256);

/**
 * Folds the keying at the character period, `period` +-0.6 %, and seeks the places where a space is always followed,
 * six elements on, by a mark (or the reverse, when the tones are reversed) and where the elements between are clear.
 * Best first.
 */
export function foldStartStop(
  d: Float64Array,
  count: number,
  stopElements: StopElements,
  period: number,
  steps: number,
): Fold[] {
  let bestPeriod = period;
  let best = 0;
  for (let step = -steps; step <= steps; step++) {
    const tried = period * (1 + (step / steps) * PERIOD_REACH);
    const merit = scanPhases(d, count, tried, merits, sums);
    if (merit > best) {
      best = merit;
      bestPeriod = tried;
    }
  }
  if (best === 0) return [];
  scanPhases(d, count, bestPeriod, merits, sums);
  const phases = Math.floor(bestPeriod);
  const folds: { fold: Fold; merit: number }[] = [];
  for (let phase = 0; phase < phases; phase++) {
    const merit = merits[phase];
    const before = merits[(phase + phases - 1) % phases];
    const after = merits[(phase + 1) % phases];
    if (merit < before || merit <= after || merit < RIVAL_SHARE * best) continue;
    const start = (count - bestPeriod) / 2 + phase + (after - before) / (2 * (2 * merit - before - after));
    folds.push({ fold: { stopElements, period: bestPeriod, start, polarity: sums[phase] > 0 ? 1 : -1 }, merit });
  }
  folds.sort((a, b) => b.merit - a.merit);
  return folds.slice(0, MOST_FOLDS).map(({ fold }) => fold);
}

function scanPhases(d: Float64Array, count: number, period: number, merits: Float64Array, sums: Float64Array): number {
  const phases = Math.floor(period);
  let best = 0;
  for (let phase = 0; phase < phases; phase++) {
    const start = (count - period) / 2 + phase;
    const first = start - Math.floor(start / period) * period;
    let sum = 0;
    let eye = 0;
    for (let at = first; at + TO_STOP < count - 1; at += period) {
      const n = Math.round(at);
      sum += d[n + TO_STOP] - d[n];
      for (let k = PER_ELEMENT; k < TO_STOP; k += PER_ELEMENT) eye += Math.abs(d[n + k]);
    }
    sums[phase] = sum;
    merits[phase] = Math.abs(sum) + EYE_WEIGHT * eye;
    best = Math.max(best, merits[phase]);
  }
  return best;
}

/** Stop elements minus start elements at a fold, in standard deviations of what chance would give. */
export function significance(d: Float64Array, count: number, fold: Fold): number {
  const { start, period } = fold;
  let sum = 0;
  let characters = 0;
  for (let at = start - Math.floor(start / period) * period; at + TO_STOP < count - 1; at += period) {
    const n = Math.round(at);
    sum += d[n + TO_STOP] - d[n];
    characters++;
  }
  return (fold.polarity * sum) / (deviationOf(d, count) * Math.sqrt(2 * characters));
}

function deviationOf(d: Float64Array, count: number): number {
  let sum = 0;
  let squares = 0;
  for (let i = 0; i < count; i++) {
    sum += d[i];
    squares += d[i] * d[i];
  }
  const mean = sum / count;
  return Math.sqrt(Math.max(0, squares / count - mean * mean));
}

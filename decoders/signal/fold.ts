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
  /** Stop elements minus start elements, in standard deviations of what chance would give. */
  readonly z: number;
}

const PERIOD_STEP = 0.001;
const PERIOD_STEPS = 6;

/**
 * Folds the keying at the character period, `period` +-0.6 %, and seeks the place where a space is always followed, six
 * elements on, by a mark; or the reverse, when the tones are reversed.
 */
export function foldStartStop(
  d: Float64Array,
  count: number,
  stopElements: StopElements,
  period: number,
): Fold | undefined {
  const deviation = deviationOf(d, count);
  if (deviation === 0) return undefined;
  const best = { sum: 0, start: 0, period, characters: 1 };
  for (let step = -PERIOD_STEPS; step <= PERIOD_STEPS; step++) {
    scanPhases(d, count, period * (1 + step * PERIOD_STEP), best);
  }
  const z = Math.abs(best.sum) / (deviation * Math.sqrt(2 * best.characters));
  return { stopElements, period: best.period, start: best.start, polarity: best.sum > 0 ? 1 : -1, z };
}

function scanPhases(
  d: Float64Array,
  count: number,
  period: number,
  best: { sum: number; start: number; period: number; characters: number },
): void {
  const middle = count / 2;
  for (let phase = 0; phase < period; phase++) {
    const start = middle + phase - period / 2;
    const before = Math.floor(start / period);
    const first = start - before * period;
    let sum = 0;
    let characters = 0;
    for (let at = first; at + TO_STOP < count - 1; at += period) {
      const n = Math.round(at);
      sum += d[n + TO_STOP] - d[n];
      characters++;
    }
    if (characters > 0 && Math.abs(sum) > Math.abs(best.sum)) {
      best.sum = sum;
      best.start = start;
      best.period = period;
      best.characters = characters;
    }
  }
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

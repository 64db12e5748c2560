import type { BurstElements } from '../signal/burst-elements.ts';
import type { Acquisition } from '../signal/types.ts';
import { elementTimes } from './slot-elements.ts';

/** Places of the clock that are tried about the stated one, in elements, and rates, as a share of its own. */
const PLACES = [-0.25, -0.125, 0, 0.125, 0.25];
const RATES = [-0.002, -0.001, 0, 0.001, 0.002];

/**
 * Starts of the characters that a known sender is sure to have keyed: near the limit the sum over all its elements still
 * tells place and rate of its clock, where no single start element can be trusted. Empty when nothing is known.
 */
export function clockStarts(elements: BurstElements, acquisition: Acquisition): Float64Array {
  const { knownCharacters = 0, characterPhaseSeconds, characterPeriodSeconds } = acquisition;
  const { elementSeconds } = elements;
  const middle = (knownCharacters - 1) / 2;
  const middleSeconds = characterPhaseSeconds + middle * characterPeriodSeconds;
  let best = new Float64Array(0);
  let most = Number.NEGATIVE_INFINITY;
  for (const rate of RATES) {
    for (const place of PLACES) {
      const period = characterPeriodSeconds * (1 + rate);
      const starts = Float64Array.from(
        { length: knownCharacters },
        (_, k) => middleSeconds + place * elementSeconds + (k - middle) * period,
      );
      const { times, known } = elementTimes(starts, elementSeconds);
      const score = elements.explained(times, known);
      if (score <= most) continue;
      most = score;
      best = starts;
    }
  }
  return best;
}

/** A start this near (elements) to a tick of the clock is on it; so many ticks must have one. */
const ON_CLOCK = 0.3;
const LEAST_SHARE = 0.9;

/** Whether characters stand at nearly all ticks of a clock. Both ascend. */
export function followsClock(starts: Float64Array, ticks: Float64Array, elementSeconds: number): boolean {
  let kept = 0;
  let i = 0;
  for (const tick of ticks) {
    while (i < starts.length && starts[i] < tick - ON_CLOCK * elementSeconds) i++;
    if (i < starts.length && starts[i] <= tick + ON_CLOCK * elementSeconds) kept++;
  }
  return kept >= LEAST_SHARE * ticks.length;
}

import { PATTERN_ELEMENTS } from '../signal/known/types.ts';
import { STEPS_PER_ELEMENT } from '../teletype/timing.ts';
import type { Opening } from './openings.ts';

/** Log-likelihoods over noise of elements that start at the points of a grid, `STEPS_PER_ELEMENT` an element. */
export interface OpeningGrid {
  readonly mark: Float64Array;
  readonly space: Float64Array;
  /** Steps from a character to the next. */
  readonly characterSteps: number;
}

export interface OpeningPlace {
  readonly opening: Opening;
  /** Grid point where its first character starts. */
  readonly start: number;
}

/** So much must speak for the first character, or the rest is not looked at. */
const LEAST_AT_FIRST = 4;

/**
 * The likeliest place of any of the openings whose first character starts in `from..to` and is whole, by all that the grid holds
 * from there on; null when nothing is like one.
 */
export function findOpening(
  grid: OpeningGrid,
  openings: readonly Opening[],
  from = 0,
  to = Number.POSITIVE_INFINITY,
): OpeningPlace | null {
  const count = grid.mark.length;
  const steps = stepsOf(openings[0].elements.length, grid.characterSteps);
  const last = Math.min(to, count - STEPS_PER_ELEMENT - steps[PATTERN_ELEMENTS - 1]);
  const rest = restBefore(grid);
  let best: OpeningPlace | null = null;
  let most = 0;
  for (const opening of openings) {
    const { elements, logPrior } = opening;
    for (let start = Math.max(0, from); start <= last; start++) {
      const head = weigh(grid, elements, steps, start, 0, PATTERN_ELEMENTS);
      if (head < LEAST_AT_FIRST) continue;
      const heard =
        logPrior + rest[start] + head + weigh(grid, elements, steps, start, PATTERN_ELEMENTS, elements.length);
      if (heard <= most) continue;
      most = heard;
      best = { opening, start };
    }
  }
  return best;
}

/** Grid steps from the first element to each. */
function stepsOf(elements: number, characterSteps: number): Int32Array {
  return Int32Array.from({ length: elements }, (_, i) => {
    const element = i % PATTERN_ELEMENTS;
    return ((i - element) / PATTERN_ELEMENTS) * characterSteps + element * STEPS_PER_ELEMENT;
  });
}

/**
 * What speaks for mark having stood until each grid point, by whole characters: a shift is such a mark but for its start element,
 * which must not fall between two of rest.
 */
function restBefore({ mark, characterSteps }: OpeningGrid): Float64Array {
  const rest = new Float64Array(mark.length);
  for (let at = 0; at + characterSteps < rest.length; at++) {
    let sum = rest[at];
    for (let i = 0; i < PATTERN_ELEMENTS; i++) sum += mark[at + i * STEPS_PER_ELEMENT];
    rest[at + characterSteps] = Math.max(0, sum);
  }
  return rest;
}

function weigh(
  { mark, space }: OpeningGrid,
  elements: Float64Array,
  steps: Int32Array,
  start: number,
  from: number,
  to: number,
): number {
  const last = mark.length - STEPS_PER_ELEMENT;
  let sum = 0;
  for (let i = from; i < to; i++) {
    const at = start + steps[i];
    if (at > last) break;
    if (elements[i] === 1) sum += mark[at];
    else if (elements[i] === 0) sum += space[at];
    else sum += Math.max(mark[at], space[at]) - Math.LN2;
  }
  return sum;
}

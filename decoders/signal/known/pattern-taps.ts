import { type ElementPattern, PATTERN_ELEMENTS } from './types.ts';

/** Expectations below this are left out: they cost as much as the others and tell nothing. */
const LEAST_WEIGHT = 0.25;

/** A pattern as the elements that tell something: where they begin, counted in elements from the start, and how they weigh. */
export interface PatternTaps {
  readonly elements: Float64Array;
  readonly weights: Float64Array;
  /** So many of them make up half of the pattern's energy. */
  readonly firstHalf: number;
}

/** The weights are set so that a tone which merely stands scores nothing. */
export function patternTaps({ expected }: ElementPattern, characterElements: number): PatternTaps {
  const elements: number[] = [];
  const values: number[] = [];
  for (let i = 0; i < expected.length; i++) {
    if (Math.abs(expected[i]) < LEAST_WEIGHT) continue;
    const element = i % PATTERN_ELEMENTS;
    elements.push(((i - element) / PATTERN_ELEMENTS) * characterElements + element);
    values.push(expected[i]);
  }
  const sum = values.reduce((total, value) => total + value, 0);
  const magnitude = values.reduce((total, value) => total + Math.abs(value), 0);
  const bias = magnitude > 0 ? sum / magnitude : 0;
  const weights = Float64Array.from(values, (value) => value - bias * Math.abs(value));
  return { elements: Float64Array.from(elements), weights, firstHalf: halfOf(weights) };
}

function halfOf(weights: Float64Array): number {
  const energy = weights.reduce((total, weight) => total + weight * weight, 0);
  let count = 0;
  for (let sum = 0; sum < energy / 2; count++) sum += weights[count] * weights[count];
  return count;
}

/**
 * How well a grid of keying follows a pattern from one row on, in standard deviations of keying at random: their
 * correlation over the root of the squares that went into it.
 *
 * @param rows rows from the start to each tap.
 */
export function scoreOnGrid(
  keying: Float32Array,
  mask: number,
  start: number,
  rows: Int32Array,
  weights: Float64Array,
): number {
  let sum = 0;
  let squares = 0;
  for (let i = 0; i < rows.length; i++) {
    const part = weights[i] * keying[(start + rows[i]) & mask];
    sum += part;
    squares += part * part;
  }
  return squares > 0 ? sum / Math.sqrt(squares) : 0;
}

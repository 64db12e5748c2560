import { type ElementPattern, PATTERN_ELEMENTS } from './types.ts';

/** Expectations below this are left out: they cost as much as the others and tell nothing. */
const LEAST_WEIGHT = 0.25;

/** A pattern as the elements that tell something: where they begin, counted in elements from the start, and how they weigh. */
export interface PatternTaps {
  readonly elements: Float64Array;
  readonly weights: Float64Array;
  /** Weights of the data elements alone, zero at start and stop elements; and the other way round. */
  readonly literal: Float64Array;
  readonly startStop: Float64Array;
  /** So many of them make up half of the pattern's energy. */
  readonly firstHalf: number;
}

/** The weights are set so that a tone which merely stands scores nothing. */
export function patternTaps({ expected }: ElementPattern, characterElements: number): PatternTaps {
  const elements: number[] = [];
  const values: number[] = [];
  const isData: boolean[] = [];
  for (let i = 0; i < expected.length; i++) {
    if (Math.abs(expected[i]) < LEAST_WEIGHT) continue;
    const element = i % PATTERN_ELEMENTS;
    elements.push(((i - element) / PATTERN_ELEMENTS) * characterElements + element);
    values.push(expected[i]);
    isData.push(element > 0 && element < PATTERN_ELEMENTS - 1);
  }
  const sum = values.reduce((total, value) => total + value, 0);
  const magnitude = values.reduce((total, value) => total + Math.abs(value), 0);
  const bias = magnitude > 0 ? sum / magnitude : 0;
  const weights = Float64Array.from(values, (value) => value - bias * Math.abs(value));
  return {
    elements: Float64Array.from(elements),
    weights,
    literal: weights.map((weight, i) => (isData[i] ? weight : 0)),
    startStop: weights.map((weight, i) => (isData[i] ? 0 : weight)),
    firstHalf: halfOf(weights),
  };
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

/** Mean keying in the direction of a pattern's weights: 0 where it is at random, the same for any part of a pattern that is there. */
export function strengthOnGrid(
  keying: Float32Array,
  mask: number,
  start: number,
  rows: Int32Array,
  weights: Float64Array,
): number {
  let sum = 0;
  let most = 0;
  for (let i = 0; i < rows.length; i++) {
    sum += weights[i] * keying[(start + rows[i]) & mask];
    most += weights[i] * weights[i];
  }
  return most > 0 ? sum / most : 0;
}

import { expect, test } from 'vitest';
import { patternTaps, scoreOnGrid } from '../../../../decoders/signal/known/pattern-taps.ts';
import { Random } from '../../../../decoders/simulate/random.ts';

/** Two characters: one certain, one of which only start and stop are. */
const PATTERN = {
  characters: 2,
  expected: Float64Array.of(-1, 1, 1, 1, -1, 1, 1, -1, 0, 0.1, 0, -0.6, 0.1, 1),
};

test('elements that tell something stand where the clock puts them', () => {
  const { elements } = patternTaps(PATTERN, 7.5);
  expect([...elements]).toEqual([0, 1, 2, 3, 4, 5, 6, 7.5, 7.5 + 4, 7.5 + 6]);
});

test('a tone that stands scores nothing', () => {
  const { elements, weights } = patternTaps(PATTERN, 7.5);
  const rows = Int32Array.from(elements, (at) => 2 * at);
  expect(scoreOnGrid(new Float32Array(64).fill(0.7), 63, 5, rows, weights)).toBeCloseTo(0, 9);
});

test('keying that follows the pattern scores most, its reverse least, noise about one', () => {
  const { elements, weights } = patternTaps(PATTERN, 7.5);
  const rows = Int32Array.from(elements, (at) => 2 * at);
  // Begins near the end of the ring and goes on at its start.
  const right = new Float32Array(64);
  for (let i = 0; i < rows.length; i++) right[(50 + rows[i]) & 63] = 0.5 * Math.sign(weights[i]);
  const total = weights.reduce((sum, weight) => sum + Math.abs(weight), 0);
  const squares = weights.reduce((sum, weight) => sum + weight * weight, 0);
  const most = scoreOnGrid(right, 63, 50, rows, weights);
  expect(most).toBeCloseTo(total / Math.sqrt(squares), 6);
  expect(
    scoreOnGrid(
      right.map((d) => -d),
      63,
      50,
      rows,
      weights,
    ),
  ).toBeCloseTo(-most, 6);
  const random = new Random(1);
  let power = 0;
  for (let i = 0; i < 2000; i++) {
    const noise = Float32Array.from({ length: 64 }, () => random.uniform(-1, 1));
    power += scoreOnGrid(noise, 63, 0, rows, weights) ** 2 / 2000;
  }
  expect(Math.sqrt(power)).toBeCloseTo(1, 1);
});

test('half of the pattern is half of its energy', () => {
  const { weights, firstHalf } = patternTaps(PATTERN, 7.5);
  const energy = (from: number, to: number) => weights.slice(from, to).reduce((sum, weight) => sum + weight ** 2, 0);
  expect(energy(0, firstHalf)).toBeGreaterThanOrEqual(energy(0, weights.length) / 2);
  expect(energy(0, firstHalf - 1)).toBeLessThan(energy(0, weights.length) / 2);
});

import { expect, test } from 'vitest';
import { mostMean } from './poisson.ts';

// chi2.ppf(0.95, 2 count + 2) / 2 by scipy 1.17.1.
test.each([
  [0, 2.995732],
  [1, 4.743865],
  [2, 6.295794],
  [10, 16.962219],
  [50, 63.287074],
])('a count of %d comes of a mean below %d', (count, mean) => {
  expect(mostMean(count)).toBeCloseTo(mean, 5);
});

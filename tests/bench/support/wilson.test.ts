import { expect, test } from 'vitest';
import spectral from '../../reference/spectral.json' with { type: 'json' };
import { wilson } from './wilson.ts';

// tests/reference/spectral.json, `wilson`: Newcombe 1998, table I, and scipy 1.10.1.
test.each(spectral.wilson)('$k of $n', ({ k, n, wilson95 }) => {
  const [low, high] = wilson(k, n);
  expect(low).toBeCloseTo(wilson95[0], 8);
  expect(high).toBeCloseTo(wilson95[1], 8);
});

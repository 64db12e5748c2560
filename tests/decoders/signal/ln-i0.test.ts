import { expect, test } from 'vitest';
import { lnI0 } from '../../../decoders/signal/ln-i0.ts';
import spectral from '../../reference/spectral.json' with { type: 'json' };

// tests/reference/spectral.json, `bessel`: computed with mpmath 1.2.1 to 40 digits.
test.each(spectral.bessel)('ln I0($x)', ({ x, I0 }) => {
  expect(lnI0(x)).toBeCloseTo(Math.log(I0), 4);
});

test('table and asymptotic series meet', () => {
  expect(lnI0(60)).toBeCloseTo(lnI0(59.999_999), 4);
});

test('grows for every step', () => {
  for (let x = 0; x < 70; x += 0.37) expect(lnI0(x + 0.37)).toBeGreaterThan(lnI0(x));
});

import fc from 'fast-check';
import { expect, test } from 'vitest';
import { withoutDust } from '../../../decoders/engineering/rounding.ts';

test('counts times a decimal factor are what a person writes', () => {
  fc.assert(
    fc.property(fc.integer({ min: -99_999, max: 99_999 }), fc.integer({ min: 1, max: 5 }), (counts, decimals) => {
      expect(withoutDust(counts * Number(`1e-${decimals}`))).toBe(
        Number((counts / 10 ** decimals).toFixed(decimals)) + 0,
      );
    }),
  );
  expect(withoutDust(0.1 + 0.2)).toBe(0.3);
});

test('nothing that could have been measured is lost', () => {
  expect(withoutDust(1_772_366_400.125)).toBe(1_772_366_400.125);
  expect(withoutDust(Number.MAX_SAFE_INTEGER)).toBe(Number.MAX_SAFE_INTEGER);
});

import { expect, test } from 'vitest';
import { byTrust, isBetter, leastTrust, trustOf } from '../../../decoders/frames/trust.ts';

test('a checksum that holds and an error below 1 in 10 000 confirm a whole frame, nothing else does', () => {
  expect(trustOf(0.99995, 'pass', true)).toBe('confirmed');
  expect(trustOf(0.9998, 'pass', true)).toBe('probable');
  expect(trustOf(0.99995, 'none', true)).toBe('probable');
  expect(trustOf(0.99995, 'pass', false)).toBe('probable');
  expect(trustOf(0.998, 'pass', true)).toBe('doubtful');
});

test('trust goes before confidence', () => {
  expect(isBetter({ trust: 'probable', confidence: 0.9991 }, { trust: 'doubtful', confidence: 1 })).toBe(true);
  expect(isBetter({ trust: 'doubtful', confidence: 0.5 }, { trust: 'doubtful', confidence: 0.4 })).toBe(true);
  expect(isBetter({ trust: 'doubtful', confidence: 0.5 }, { trust: 'doubtful', confidence: 0.5 })).toBe(false);
  expect((['doubtful', 'confirmed', 'probable'] as const).toSorted(byTrust)).toEqual([
    'confirmed',
    'probable',
    'doubtful',
  ]);
  expect(leastTrust('confirmed', 'probable')).toBe('probable');
});

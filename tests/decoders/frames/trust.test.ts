import { expect, test } from 'vitest';
import { DEFAULT_ACCEPT } from '../../../decoders/frames/accept.ts';
import { byTrust, isBetter, leastTrust, trustOf } from '../../../decoders/frames/trust.ts';

test('a checksum that holds and an error below 1 in 10 000 confirm a whole frame, nothing else does', () => {
  expect(trustOf(0.99995, 'pass', true, DEFAULT_ACCEPT)).toBe('confirmed');
  expect(trustOf(0.9998, 'pass', true, DEFAULT_ACCEPT)).toBe('probable');
  expect(trustOf(0.99995, 'none', true, DEFAULT_ACCEPT)).toBe('probable');
  expect(trustOf(0.99995, 'pass', false, DEFAULT_ACCEPT)).toBe('probable');
  expect(trustOf(0.998, 'pass', true, DEFAULT_ACCEPT)).toBe('doubtful');
});

test('a mission may ask for more', () => {
  expect(trustOf(0.99995, 'pass', true, { wrongBelow: 1e-5 })).toBe('probable');
  expect(trustOf(0.999995, 'pass', true, { wrongBelow: 1e-5 })).toBe('confirmed');
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

import { expect, test } from 'vitest';
import { bandClaimOf } from '../../../server/intake/band-claim.ts';

test('who says nothing leaves what was said before', () => {
  const before = { isBand: true, centerHz: 1, tuning: { mode: 'fixed', referenceErrorPpm: null } } as const;
  expect(bandClaimOf({})).toBeNull();
  expect(bandClaimOf({}, before)).toBe(before);
});

test('what is said is added to what was said before', () => {
  const first = bandClaimOf({ iq: true, centerHz: 145.9e6 });
  expect(first).toEqual({ isBand: true, centerHz: 145.9e6, tuning: null });
  const tuned = bandClaimOf({ tuning: 'doppler-corrected' }, first);
  expect(tuned).toEqual({ ...first, tuning: { mode: 'doppler-corrected', referenceErrorPpm: null } });
  expect(bandClaimOf({ referenceErrorPpm: 2 }, tuned)?.tuning).toEqual({
    mode: 'doppler-corrected',
    referenceErrorPpm: 2,
  });
  expect(bandClaimOf({ referenceErrorPpm: 2 })?.tuning).toEqual({ mode: 'unknown', referenceErrorPpm: 2 });
  expect(
    bandClaimOf({ referenceErrorPpm: null }, bandClaimOf({ referenceErrorPpm: 2 }))?.tuning?.referenceErrorPpm,
  ).toBeNull();
});

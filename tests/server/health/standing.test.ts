import { expect, test } from 'vitest';
import { standingAfter } from '../../../server/health/standing.ts';

const at = (...limits: ('normal' | 'soft' | 'hard' | null)[]) => limits.map((limit, time) => ({ time, limit }));

test('a state counts only after as many transmissions as the persistence asks for', () => {
  expect(standingAfter(at(), 2)).toEqual({ state: null, since: null, pending: null });
  expect(standingAfter(at('hard'), 2)).toEqual({
    state: null,
    since: null,
    pending: { state: 'hard', transmissions: 1 },
  });
  expect(standingAfter(at('normal', 'normal', 'hard'), 2)).toEqual({
    state: 'normal',
    since: 1,
    pending: { state: 'hard', transmissions: 1 },
  });
  expect(standingAfter(at('normal', 'normal', 'hard', 'hard', 'hard'), 2)).toEqual({
    state: 'hard',
    since: 3,
    pending: null,
  });
});

test('with a persistence of one every transmission counts', () => {
  expect(standingAfter(at('normal', 'soft'), 1)).toEqual({ state: 'soft', since: 1, pending: null });
});

test('a transmission without a value keeps the state and restarts the count', () => {
  expect(standingAfter(at('normal', 'normal', 'hard', null, 'hard'), 2)).toEqual({
    state: 'normal',
    since: 1,
    pending: { state: 'hard', transmissions: 1 },
  });
});

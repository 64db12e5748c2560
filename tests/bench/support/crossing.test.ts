import { expect, test } from 'vitest';
import { crossing } from './crossing.ts';

test('a share is reached on the line between two levels', () => {
  expect(crossing([1, 2, 3], [0.2, 0.4, 0.8], 0.5)).toBeCloseTo(2.25, 12);
});

test('shares that fall by chance are pooled first', () => {
  // 0.6 and 0.4 are one pool of 0.5; from there to 1 the share .75 lies half way.
  expect(crossing([1, 2, 3, 4], [0.1, 0.6, 0.4, 1], 0.75)).toBeCloseTo(3.5, 12);
});

test('what is reached before or not at all has no level', () => {
  expect(crossing([1, 2], [0.6, 0.9], 0.5)).toBeNull();
  expect(crossing([1, 2], [0.1, 0.4], 0.5)).toBeNull();
});

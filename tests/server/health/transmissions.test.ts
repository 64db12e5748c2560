import { expect, test } from 'vitest';
import { copyDistanceMilliseconds, onePerTransmission } from '../../../server/health/transmissions.ts';

const heard = (time: number, trust: 'confirmed' | 'probable' | 'doubtful', confidence = 1, name = '') => ({
  time,
  trust,
  confidence,
  name,
});

test('copies of a transmission count once, the best of them', () => {
  const readings = [
    heard(0, 'probable', 0.999, 'a'),
    heard(900, 'confirmed', 0.9, 'b'),
    heard(1500, 'confirmed', 0.99, 'c'),
    heard(60_000, 'probable', 1, 'd'),
    heard(60_100, 'probable', 0.5, 'e'),
  ];
  expect(onePerTransmission(readings, 30_000).map(({ name }) => name)).toEqual(['c', 'd']);
});

test('a chain of copies does not grow beyond the distance from its first', () => {
  const readings = [0, 8, 16, 24].map((time) => heard(time, 'probable'));
  expect(onePerTransmission(readings, 10).map(({ time }) => time)).toEqual([0, 16]);
  expect(onePerTransmission([], 10)).toEqual([]);
});

test('copies lie within half the interval, and never closer than station clocks agree', () => {
  expect(copyDistanceMilliseconds(60)).toBe(30_000);
  expect(copyDistanceMilliseconds(1)).toBe(2000);
  expect(copyDistanceMilliseconds(undefined)).toBe(10_000);
});

import { expect, test } from 'vitest';
import { instantOf, isoTime, isoTimeOrNull, plausibleReception, receptionInstant } from '../../server/time.ts';

const NOW = Date.UTC(2031, 4, 4);

test('times of any zone become UTC', () => {
  expect(isoTime(instantOf('2031-05-04T11:30:00+02:30', 'x'))).toBe('2031-05-04T09:00:00.000Z');
  expect(isoTimeOrNull(null)).toBeNull();
});

test('a leap second cannot be reckoned with and is refused', () => {
  expect(() => instantOf('2016-12-31T23:59:60Z', 'body/receivedAt')).toThrow(
    /body\/receivedAt is 2016-12-31T23:59:60Z/,
  );
});

test('nothing is received before the first satellite or more than a day ahead', () => {
  expect(receptionInstant('1957-10-04T00:00:00Z', 'x', NOW)).toBe(Date.UTC(1957, 9, 4));
  expect(plausibleReception(NOW + 86_400_000, NOW)).toBe(true);
  for (const iso of ['1957-10-03T23:59:59Z', '1900-01-01T00:00:00Z', '2031-05-05T00:00:01Z', '9999-01-01T00:00:00Z']) {
    expect(() => receptionInstant(iso, 'x', NOW)).toThrow(/it may be from/);
  }
});

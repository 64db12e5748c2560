import { describe, expect, test } from 'vitest';
import { inForce } from '../../../decoders/engineering/validity.ts';

const entries = [
  { value: 'first' },
  { value: 'spring', validFrom: '2026-03-01T00:00:00.000Z', validUntil: '2026-06-01T00:00:00.000Z' },
  { value: 'autumn', validFrom: '2026-09-01T00:00:00.000Z' },
];
const at = (receivedAt: string | null, from = entries) => inForce(from, receivedAt, 'calibration');

describe('inForce', () => {
  test.each([
    ['2026-02-28T23:59:59Z', 'first'],
    ['2026-03-01T00:00:00Z', 'spring'],
    ['2026-05-31T23:59:59.999Z', 'spring'],
    ['2026-06-01T00:00:00Z', 'first'],
    ['2026-09-01T02:00:00+02:00', 'autumn'],
    ['2030-01-01T00:00:00Z', 'autumn'],
  ])('at %s it is %s', (receivedAt, value) => expect(at(receivedAt)).toEqual({ value, note: null }));

  test('outside all there is none, and it is said', () => {
    expect(at('2026-01-01T00:00:00Z', entries.slice(1))).toEqual({
      value: null,
      note: 'no calibration is valid at 2026-01-01T00:00:00Z',
    });
    expect(at('2026-01-01T00:00:00Z', [])).toEqual({ value: null, note: null });
  });

  test('without a reception time the newest is taken, and it is said where there was a choice', () => {
    expect(at(null)).toEqual({ value: 'autumn', note: 'reception time unknown: the newest calibration taken' });
    expect(at(null, entries.slice(0, 1))).toEqual({ value: 'first', note: null });
  });
});

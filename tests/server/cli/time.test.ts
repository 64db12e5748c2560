import { InvalidArgumentError } from 'commander';
import { describe, expect, test } from 'vitest';
import { parseTime } from '../../../server/cli/time.ts';

describe('parseTime', () => {
  test.each([
    ['2027-03-01T18:40:00Z', '2027-03-01T18:40:00.000Z'],
    ['2027-03-01T18:40Z', '2027-03-01T18:40:00.000Z'],
    ['2027-03-01T18:40:00.25Z', '2027-03-01T18:40:00.250Z'],
    ['2027-03-01T19:40:00+01:00', '2027-03-01T18:40:00.000Z'],
    ['2028-02-29T23:59:59-05:30', '2028-03-01T05:29:59.000Z'],
  ])('%s', (text, utc) => {
    expect(parseTime(text)).toBe(utc);
  });

  test.each([
    '2027-03-01T18:40:00',
    '2027-03-01',
    '2027-02-31T00:00:00Z',
    '2027-13-01T00:00:00Z',
    '2027-03-01T25:00:00Z',
    'yesterday',
    '',
  ])('refuses "%s"', (text) => {
    expect(() => parseTime(text)).toThrow(InvalidArgumentError);
  });
});

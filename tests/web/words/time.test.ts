// @vitest-environment node
import { describe, expect, it } from 'vitest';
import { ageText, parseUtc, positionText, spanText, utcFieldText, utcText } from '../../../web/words/time.ts';

const AT = Date.UTC(2031, 4, 4, 9, 12, 7);

describe('ages', () => {
  it.each([
    [10, 'just now'],
    [-30, 'just now'],
    [60, '1 min ago'],
    [720, '12 min ago'],
    [89 * 60, '89 min ago'],
    [5 * 3600, '5 h ago'],
    [72 * 3600, '3 days ago'],
  ])('%i seconds are %s', (seconds, text) => {
    expect(ageText(AT - seconds * 1000, AT)).toBe(text);
  });
});

describe('times', () => {
  it('are UTC wherever the viewer is', () => {
    expect(utcText(AT)).toBe('4 May 2031, 09:12:07 UTC');
  });

  it('in a recording are said to the tenth of a second', () => {
    expect(positionText(7.44)).toBe('0:07.4');
    expect(positionText(59.96)).toBe('1:00.0');
    expect(positionText(3723.4)).toBe('1:02:03.4');
  });

  it('spans are said in one unit', () => {
    expect(spanText(2)).toBe('2 s');
    expect(spanText(60)).toBe('1 min');
  });
});

describe('a typed time', () => {
  it.each([
    ['2031-05-04 09:12:07', AT],
    ['2031-05-04T09:12:07Z', AT],
    ['2031-5-4 9:12:07 UTC', AT],
    ['  2031-05-04 09:12  ', AT - 7000],
    ['2031-05-04', Date.UTC(2031, 4, 4)],
  ])('%s is read as UTC', (typed, ms) => {
    expect(parseUtc(typed)).toBe(ms);
  });

  it.each(['', 'yesterday', '04/05/2031 09:12', '2031-02-30 00:00', '2031-05-04 24:00', '2031-05-04 09:60', '09:12'])(
    '%s is not guessed at',
    (typed) => {
      expect(parseUtc(typed)).toBeNull();
    },
  );

  it('comes back from what is written into the field', () => {
    expect(parseUtc(utcFieldText(AT))).toBe(AT);
  });
});

import { expect, test } from 'vitest';
import { baseCallSign, normalCallSign } from '../../server/call-sign.ts';

test('call signs are kept in upper case', () => {
  expect(normalCallSign('q1lark/p')).toBe('Q1LARK/P');
});

test('what is no call sign is refused and shown', () => {
  for (const given of ['', 'Q1 LARK', '../etc', '<b>', 'Q1LARK/', 'A/B/C/D', 'ÄÖÜ', 'Q'.repeat(11)]) {
    expect(() => normalCallSign(given)).toThrow(/is no call sign/);
  }
});

test('the base is the longest part, whatever a traveller adds', () => {
  expect(['Q1LARK', 'Q1LARK/P', 'Q9/Q1LARK', 'Q9/Q1LARK/MM'].map(baseCallSign)).toEqual(new Array(4).fill('Q1LARK'));
});

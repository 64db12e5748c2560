// @vitest-environment node
import { describe, expect, it } from 'vitest';
import { readCallSign } from '../../../web/shell/call-sign.ts';

describe('a typed call sign', () => {
  it.each([
    [' q1lark ', 'Q1LARK'],
    ['Q1LARK/P', 'Q1LARK/P'],
    ['x/q1lark/mm', null],
    ['QQ/Q1LA/MM', 'QQ/Q1LA/MM'],
  ])('%s is read as %s', (typed, callSign) => {
    expect(readCallSign(typed)).toBe(callSign);
  });

  it.each(['', 'Q', 'Q1 LARK', 'Q1LARK/', '<b>', 'Q1LARK/P/Q/R', 'Ö1ABC'])('%s is none', (typed) => {
    expect(readCallSign(typed)).toBeNull();
  });
});

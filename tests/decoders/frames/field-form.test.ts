import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  complementText,
  fieldText,
  fieldValue,
  formCapacity,
  formRange,
  shapesOf,
} from '../../../decoders/frames/field-form.ts';
import type { FieldForm, Sign } from '../../../decoders/mission/types.ts';

const digits = (min: number, max: number, decimals = 0, sign?: Sign): FieldForm => ({
  kind: 'digits',
  min,
  max,
  decimals,
  ...(sign === undefined ? {} : { sign }),
});
const named = { plus: 'P', minus: 'N' };

describe('digits', () => {
  test.each([
    [digits(5, 5), '00042', 42],
    [digits(1, 4), '7', 7],
    [digits(2, 2, 2), '05.02', 5.02],
    [digits(4, 4, 0, 'minus'), '-0130', -130],
    [digits(4, 4, 0, 'minus'), '0130', 130],
    [digits(2, 2, 1, 'always'), '+12.5', 12.5],
    [digits(2, 2, 1, 'always'), '-12.5', -12.5],
    [digits(3, 3, 0, named), 'P130', 130],
    [digits(3, 3, 0, named), 'N130', -130],
    [digits(3, 3, 0, { plus: '', minus: 'NEG' }), 'NEG130', -130],
  ])('%j %s is %d, both ways', (form, text, value) => {
    expect(fieldValue(form, text)).toBe(value);
    expect(fieldText(form, value)).toBe(text);
  });

  test('minus nothing is nothing', () => {
    expect(Object.is(fieldValue(digits(1, 1, 0, 'minus'), '-0'), 0)).toBe(true);
    expect(fieldText(digits(1, 1, 1, 'minus'), -0.04)).toBe('0.0');
  });

  test.each([
    [digits(2, 2), '1'],
    [digits(2, 2), '123'],
    [digits(2, 2), '-12'],
    [digits(2, 2, 1), '12'],
    [digits(2, 2, 0, 'always'), '12'],
    [digits(2, 2), '1A'],
    [digits(2, 2), ''],
  ])('%j does not print %s', (form, text) => expect(fieldValue(form, text)).toBeNull());

  test('a number too long for the form is refused, saying what fits', () => {
    expect(() => fieldText(digits(1, 2), 100)).toThrow(/100 does not fit .* at most 2 digits/);
    expect(() => fieldText(digits(1, 2), -1)).toThrow(/without a sign/);
    expect(() => fieldText(digits(1, 2), Number.NaN)).toThrow(/finite/);
    expect(() => fieldText(digits(1, 2, 1), 99.96)).toThrow(/does not fit/);
    expect(() => fieldText(digits(1, 15), 1e300)).toThrow(/does not fit/);
  });
});

describe('positional forms', () => {
  const base10: FieldForm = { kind: 'symbols', symbols: 'PQWERTYUIO', length: 3 };
  test.each<[FieldForm, string, number]>([
    [{ kind: 'hex', length: 2 }, '1F', 31],
    [{ kind: 'letters', length: 3 }, 'ABA', 26],
    [base10, 'QPO', 109],
  ])('%j %s is %d, both ways', (form, text, value) => {
    expect(fieldValue(form, text)).toBe(value);
    expect(fieldText(form, value)).toBe(text);
  });

  test('values outside the form are refused', () => {
    expect(() => fieldText({ kind: 'hex', length: 2 }, 256)).toThrow(/from 0 to 255/);
    expect(() => fieldText({ kind: 'hex', length: 2 }, 1.5)).toThrow(/whole/);
    expect(() => fieldText({ kind: 'hex', length: 2 }, 'FF')).toThrow(/finite number/);
    expect(fieldValue({ kind: 'hex', length: 2 }, 'ff')).toBeNull();
  });

  test('capacity and range', () => {
    expect(formCapacity(base10)).toBe(1000);
    expect(formCapacity(digits(1, 2, 2))).toBe(10_000);
    expect(formCapacity({ kind: 'oneOf', texts: ['A'] })).toBeNull();
    expect(formRange(digits(2, 2, 2))).toEqual({ low: 0, high: 99.99, step: 0.01 });
    expect(formRange(digits(2, 3, 0, 'minus'))).toEqual({ low: -999, high: 999, step: 1 });
    expect(formRange({ kind: 'letters', length: 1 })).toEqual({ low: 0, high: 25, step: 1 });
  });
});

describe('missing and oneOf', () => {
  test('a missing text is no value, even where the form could print it', () => {
    expect(fieldValue(digits(4, 4), '9999', ['9999', '////'])).toBeNull();
    expect(fieldValue(digits(4, 4), '9998', ['9999', '////'])).toBe(9998);
    expect(fieldText(digits(4, 4), null, ['////', '9999'])).toBe('////');
    expect(shapesOf(digits(4, 4), ['9999', '////'])).toHaveLength(2);
    expect(() => fieldText(digits(4, 4), null)).toThrow(/no value/);
  });

  test('oneOf is its own text', () => {
    const form: FieldForm = { kind: 'oneOf', texts: ['SAFE', 'NOM'] };
    expect(fieldValue(form, 'NOM')).toBe('NOM');
    expect(fieldValue(form, 'NO')).toBeNull();
    expect(fieldText(form, 'SAFE')).toBe('SAFE');
    expect(() => fieldText(form, 'OFF')).toThrow(/one of SAFE, NOM/);
  });
});

describe('complement', () => {
  test('digits from nine, hex bit by bit, letters and symbols from the other end', () => {
    expect(complementText(digits(3, 3, 1, 'minus'), '-130.5')).toBe('-869.4');
    expect(complementText({ kind: 'hex', length: 2 }, '1F')).toBe('E0');
    expect(complementText({ kind: 'letters', length: 2 }, 'AZ')).toBe('ZA');
    expect(complementText({ kind: 'symbols', symbols: 'PQWERTYUIO', length: 2 }, 'PQ')).toBe('OI');
    expect(complementText(digits(4, 4), '////', ['////'])).toBe('////');
  });
});

test('whatever a form prints, it reads back', () => {
  const sign = fc.constantFrom<Sign | undefined>(undefined, 'minus', 'always', named, { plus: '', minus: 'NN' });
  const form = fc.oneof(
    fc
      .record({ min: fc.integer({ min: 1, max: 4 }), more: fc.nat(3), decimals: fc.nat(3), sign })
      .map(({ min, more, decimals, sign }) => digits(min, min + more, decimals, sign)),
    fc.record({ kind: fc.constant('hex' as const), length: fc.integer({ min: 1, max: 13 }) }),
    fc.record({ kind: fc.constant('letters' as const), length: fc.integer({ min: 1, max: 11 }) }),
  );
  fc.assert(
    fc.property(form, fc.double({ min: 0, max: 1, noNaN: true }), fc.boolean(), (each, share, complement) => {
      const range = formRange(each);
      if (range === null) throw new Error('no range');
      const steps = Math.floor(((range.high - range.low) / range.step) * share);
      const value = Number((range.low + steps * range.step).toFixed(each.kind === 'digits' ? each.decimals : 0)) + 0;
      const text = fieldText(each, value);
      expect(fieldValue(each, text)).toBe(value);
      expect(
        shapesOf(each, []).filter(
          (shape) => shape.length === text.length && shape.every((c, i) => c.includes(text[i])),
        ),
      ).toHaveLength(1);
      if (complement) expect(complementText(each, complementText(each, text))).toBe(text);
    }),
  );
});

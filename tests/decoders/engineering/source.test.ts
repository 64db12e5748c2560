import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { fieldRaw, joinRaw, type SourceField } from '../../../decoders/engineering/source.ts';

const hex = (length: number, raw: number | null): SourceField => ({ form: { kind: 'hex', length }, raw });
const digits = (count: number, raw: number): SourceField => ({
  form: { kind: 'digits', min: count, max: count, decimals: 0 },
  raw,
});

describe('fieldRaw', () => {
  test('whole, by bits, with sign', () => {
    expect(fieldRaw({ signed: false }, hex(2, 0xff))).toBe(255);
    expect(fieldRaw({ signed: true }, hex(2, 0xff))).toBe(-1);
    expect(fieldRaw({ signed: true }, hex(2, 0x80))).toBe(-128);
    expect(fieldRaw({ signed: true }, hex(2, 0x7f))).toBe(127);
    expect(fieldRaw({ bits: [3, 3], signed: false }, hex(2, 0b0001_1111))).toBe(1);
    expect(fieldRaw({ bits: [5, 5], signed: false }, hex(2, 0b0001_1111))).toBe(0);
    expect(fieldRaw({ bits: [4, 7], signed: false }, hex(2, 0xa5))).toBe(0xa);
    expect(fieldRaw({ bits: [4, 7], signed: true }, hex(2, 0xa5))).toBe(-6);
    expect(fieldRaw({ bits: [36, 43], signed: false }, hex(12, 0xabc0_0000_0000))).toBe(0xbc);
  });

  test('no value stays none, texts stay texts', () => {
    expect(fieldRaw({ bits: [0, 0], signed: true }, hex(2, null))).toBeNull();
    expect(fieldRaw({ signed: false }, { form: { kind: 'oneOf', texts: ['A'] }, raw: 'A' })).toBe('A');
  });

  test('bits put together again are the value', () => {
    fc.assert(
      fc.property(fc.nat(0xffff), fc.integer({ min: 1, max: 15 }), (value, at) => {
        const low = fieldRaw({ bits: [0, at - 1], signed: false }, hex(4, value));
        const high = fieldRaw({ bits: [at, 15], signed: false }, hex(4, value));
        expect(Number(high) * 2 ** at + Number(low)).toBe(value);
      }),
    );
  });
});

describe('joinRaw', () => {
  const integer = { order: 'big', as: 'integer', signed: false } as const;
  test('integers in either order, of any base', () => {
    const words = [hex(4, 0x1234), hex(4, 0x5678)];
    expect(joinRaw(integer, words)).toBe(0x12345678);
    expect(joinRaw({ ...integer, order: 'little' }, words)).toBe(0x56781234);
    expect(joinRaw({ ...integer, signed: true }, [hex(4, 0xffff), hex(4, 0xfffe)])).toBe(-2);
    expect(joinRaw(integer, [digits(3, 12), digits(2, 7)])).toBe(1207);
    expect(joinRaw(integer, [hex(4, 1), hex(4, null)])).toBeNull();
  });

  // IEEE 754 binary32, worked patterns: 1.0, -2.0, pi, the smallest normal number, infinity, not a number.
  test.each([
    [0x3f80, 0x0000, 1],
    [0xc000, 0x0000, -2],
    [0x4049, 0x0fdb, 3.1415927410125732],
    [0x0080, 0x0000, 1.1754943508222875e-38],
    [0x7f80, 0x0000, null],
    [0x7fc0, 0x0000, null],
  ])('float32 %i %i', (high, low, value) => {
    const float = { order: 'big', as: 'float32', signed: false } as const;
    expect(joinRaw(float, [hex(4, high), hex(4, low)])).toBe(value);
    expect(joinRaw({ ...float, order: 'little' }, [hex(4, low), hex(4, high)])).toBe(value);
  });

  test('bcd, of which no digit is above nine', () => {
    const bcd = { order: 'big', as: 'bcd', signed: false } as const;
    expect(joinRaw(bcd, [hex(2, 0x12), hex(2, 0x09)])).toBe(1209);
    expect(joinRaw({ ...bcd, order: 'little' }, [hex(2, 0x12), hex(2, 0x09)])).toBe(912);
    expect(joinRaw(bcd, [hex(2, 0x1a), hex(2, 0x09)])).toBeNull();
  });
});

import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { BitReader } from '../../../../decoders/audio/flac/bit-reader.ts';
import { BitWriter } from '../../../../decoders/audio/flac/bit-writer.ts';

function readerOf(bytes: Uint8Array, from = 0, to = bytes.length): BitReader {
  const reader = new BitReader();
  reader.open(bytes, from, to);
  return reader;
}

const bitsAsText = (bytes: Uint8Array): string => [...bytes].map((b) => b.toString(2).padStart(8, '0')).join('');

describe('BitReader', () => {
  it('reads what stands there, most significant bit first, from any place and of any width', () => {
    fc.assert(
      fc.property(
        fc.uint8Array({ minLength: 1, maxLength: 24 }),
        fc.array(fc.nat({ max: 32 }), { maxLength: 12 }),
        (bytes, widths) => {
          const text = bitsAsText(bytes).padEnd(1000, '0');
          const unsigned = readerOf(bytes);
          const signed = readerOf(bytes);
          let at = 0;
          for (const width of widths) {
            const plain = Number.parseInt(text.slice(at, at + width) || '0', 2);
            expect(unsigned.unsigned(width)).toBe(plain);
            expect(signed.signed(width)).toBe(width > 0 && text[at] === '1' ? plain - 2 ** width : plain);
            at += width;
            expect(unsigned.isPast).toBe(at > 8 * bytes.length);
          }
          expect(unsigned.align()).toBe(Math.ceil(at / 8));
        },
      ),
      { seed: 1, numRuns: 300 },
    );
  });

  it('reads 33 bits, which a difference of 32-bit samples has', () => {
    expect(readerOf(Uint8Array.of(0x80, 0, 0, 0, 0)).signed(33)).toBe(-(2 ** 32));
    expect(readerOf(Uint8Array.of(0x7f, 0xff, 0xff, 0xff, 0x80)).signed(33)).toBe(2 ** 32 - 1);
  });

  it('reads Rice codes as they are written, whatever stands before them and however they end', () => {
    const value = fc.oneof(fc.integer({ min: -20, max: 20 }), fc.integer({ min: -3000, max: 3000 }));
    fc.assert(
      fc.property(fc.array(value, { maxLength: 60 }), fc.nat(14), fc.nat(31), (values, parameter, lead) => {
        const writer = new BitWriter();
        writer.put(0x5aa5, lead);
        writer.rice(parameter, Int32Array.from(values), 0, values.length);
        writer.align();
        const reader = readerOf(writer.bytes);
        reader.unsigned(lead);
        const out = new Int32Array(values.length);
        reader.rice(parameter, out, 0, values.length);
        expect([...out]).toEqual(values);
        expect(reader.isPast).toBe(false);
        expect(reader.align()).toBe(writer.bytes.length);
      }),
      { seed: 2, numRuns: 300 },
    );
  });

  it('folds signs as RFC 9639 section 9.2.7 says, and takes the largest residual', () => {
    // Parameter 0: 0, -1, 1, -2, 2 are 0, 1, 2, 3, 4 zeros and a one.
    const out = new Int32Array(5);
    readerOf(Uint8Array.of(0b10100100, 0b01000010)).rice(0, out, 0, 5);
    expect([...out]).toEqual([0, -1, 1, -2, 2]);
    const writer = new BitWriter();
    const extremes = Int32Array.of(2 ** 31 - 1, -(2 ** 31 - 1));
    writer.rice(30, extremes, 0, 2);
    writer.align();
    readerOf(writer.bytes).rice(30, out, 0, 2);
    expect([...out.subarray(0, 2)]).toEqual([...extremes]);
  });

  it('reads zeros past the end and says so, without looping for ever', () => {
    const reader = readerOf(Uint8Array.of(0xff, 0, 0, 0, 0xff), 1, 4);
    expect(reader.unary()).toBeGreaterThanOrEqual(24);
    expect(reader.isPast).toBe(true);
    expect(reader.unsigned(32)).toBe(0);
    const out = new Int32Array(1000);
    const rice = readerOf(Uint8Array.of(0x80, 0));
    rice.rice(3, out, 0, 1000);
    expect(rice.isPast).toBe(true);
  });
});

import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { decodeUtf8, encodeUtf8 } from '../../../decoders/audio/utf8.ts';

describe('UTF-8', () => {
  it('is read and written as the platform does, for any text and any bytes', () => {
    fc.assert(
      fc.property(
        fc.array(fc.integer({ min: 0, max: 0x10ffff }).filter((code) => code < 0xd800 || code > 0xdfff)),
        (codes) => {
          const text = String.fromCodePoint(...codes);
          expect(encodeUtf8(text)).toEqual(new Uint8Array(new TextEncoder().encode(text)));
          expect(decodeUtf8(encodeUtf8(text))).toBe(text);
        },
      ),
      { seed: 1 },
    );
    const decoder = new TextDecoder('utf-8', { ignoreBOM: true });
    // How many marks stand for one broken sequence is open; where they stand is not.
    const merged = (text: string): string => text.replace(/\ufffd+/g, '\ufffd');
    fc.assert(
      fc.property(fc.uint8Array({ maxLength: 12 }), (bytes) => {
        expect(merged(decodeUtf8(bytes))).toBe(merged(decoder.decode(bytes)));
      }),
      { seed: 2, numRuns: 5000 },
    );
  });

  it.each([
    ['overlong', [0xc0, 0xaf]],
    ['a surrogate', [0xed, 0xa0, 0x80]],
    ['beyond U+10FFFF', [0xf4, 0x90, 0x80, 0x80]],
    ['cut off', [0xe2, 0x82]],
  ])('%s is marked (RFC 3629)', (_, bytes) => {
    expect(decodeUtf8(Uint8Array.of(0x41, ...bytes, 0x42))).toMatch(/^A\ufffd+B$/);
  });
});

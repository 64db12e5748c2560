import { describe, expect, it } from 'vitest';
import { crc8 } from '../../../../decoders/audio/flac/crc.ts';
import { parseFrameHeader } from '../../../../decoders/audio/flac/frame-header.ts';

/** A frame header with its CRC. */
function header(...bytes: number[]): Uint8Array {
  return Uint8Array.of(...bytes, crc8(Uint8Array.from(bytes), 0, bytes.length));
}

const parse = (bytes: Uint8Array) => parseFrameHeader(bytes, 0, bytes.length);

describe('parseFrameHeader (RFC 9639 section 9.1)', () => {
  it('reads the headers of the RFC', () => {
    // Appendix D.2.7, D.2.8 (bytes from memory, their CRCs fit).
    expect(parse(Uint8Array.of(0xff, 0xf8, 0x69, 0x98, 0x00, 0x0f, 0x99))).toEqual({
      isVariable: false,
      number: 0,
      blockSize: 16,
      sampleRateHz: 44_100,
      channels: 2,
      decorrelation: 'side-right',
      bitsPerSample: 16,
      bytes: 7,
    });
    expect(parse(Uint8Array.of(0xff, 0xf8, 0x69, 0x18, 0x01, 0x02, 0xa4))).toMatchObject({
      number: 1,
      blockSize: 3,
      channels: 2,
      decorrelation: 'none',
    });
  });

  it.each([
    [0x1, [], 192],
    [0x2, [], 576],
    [0x5, [], 4608],
    [0x6, [0xff], 256],
    [0x7, [0x03, 0x08], 777],
    [0x8, [], 256],
    [0xf, [], 32_768],
  ])('block size code %d', (code, more, blockSize) => {
    expect(parse(header(0xff, 0xf8, (code << 4) | 9, 0x08, 0, ...more))).toMatchObject({ blockSize });
  });

  it.each([
    [0x0, [], null],
    [0x1, [], 88_200],
    [0x4, [], 8000],
    [0xb, [], 96_000],
    [0xc, [12], 12_000],
    [0xd, [0x2b, 0x11], 11_025],
    [0xe, [0xff, 0xff], 655_350],
  ])('sample rate code %d', (code, more, sampleRateHz) => {
    expect(parse(header(0xff, 0xf8, 0xc0 | code, 0x08, 0, ...more))).toMatchObject({ sampleRateHz, blockSize: 4096 });
  });

  it('reads coded numbers of every length', () => {
    const numbered = (isVariable: boolean, ...number: number[]) =>
      parse(header(0xff, isVariable ? 0xf9 : 0xf8, 0xc9, 0x08, ...number));
    expect(numbered(false, 0x7f)).toMatchObject({ number: 127 });
    expect(numbered(false, 0xc2, 0x80)).toMatchObject({ number: 128 });
    expect(numbered(false, 0xfd, 0xbf, 0xbf, 0xbf, 0xbf, 0xbf)).toMatchObject({ number: 2 ** 31 - 1 });
    expect(numbered(true, 0xfe, 0xbf, 0xbf, 0xbf, 0xbf, 0xbf, 0xbf)).toMatchObject({
      number: 2 ** 36 - 1,
      isVariable: true,
    });
  });

  it.each([
    ['no sync code', header(0xff, 0xfa, 0xc9, 0x08, 0)],
    ['a reserved block size', header(0xff, 0xf8, 0x09, 0x08, 0)],
    ['a forbidden sample rate', header(0xff, 0xf8, 0xcf, 0x08, 0)],
    ['a reserved channel code', header(0xff, 0xf8, 0xc9, 0xb8, 0)],
    ['a reserved bit depth', header(0xff, 0xf8, 0xc9, 0x06, 0)],
    ['a set reserved bit', header(0xff, 0xf8, 0xc9, 0x09, 0)],
    ['a number that goes on wrongly', header(0xff, 0xf8, 0xc9, 0x08, 0xc2, 0x00)],
    ['a number that begins wrongly', header(0xff, 0xf8, 0xc9, 0x08, 0x80)],
    ['a frame number of seven bytes', header(0xff, 0xf8, 0xc9, 0x08, 0xfe, 0x80, 0x80, 0x80, 0x80, 0x80, 0x80)],
    ['a block of 65536', header(0xff, 0xf8, 0x79, 0x08, 0, 0xff, 0xff)],
    ['a wrong CRC', Uint8Array.of(0xff, 0xf8, 0xc9, 0x08, 0, 0x00)],
    ['no frame at all', Uint8Array.of(0x12)],
  ])('refuses %s', (_, bytes) => {
    expect(parse(bytes)).toBeNull();
  });

  it('waits for the rest of one that is cut off', () => {
    const whole = header(0xff, 0xf9, 0x7d, 0x08, 0xc2, 0x80, 0x03, 0x08, 0x2b, 0x11);
    for (let length = 0; length < whole.length; length++) {
      expect(parseFrameHeader(whole, 0, length)).toBe('incomplete');
    }
    expect(parse(whole)).toMatchObject({ bytes: whole.length });
  });
});

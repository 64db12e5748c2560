import { describe, expect, it } from 'vitest';
import { crc8, crc16 } from '../../../../decoders/audio/flac/crc.ts';

const digits = new TextEncoder().encode('-123456789-');

describe('CRCs of FLAC', () => {
  it('give the check values of the public catalogue', () => {
    // CRC-8/SMBUS and CRC-16/UMTS, check values from memory.
    expect(crc8(digits, 1, 10)).toBe(0xf4);
    expect(crc16(digits, 1, 10)).toBe(0xfee8);
    expect(crc16(digits, 1, 1)).toBe(0);
    expect(crc16(Uint8Array.of(0x01), 0, 1)).toBe(0x8005);
  });

  it('are 0 over bytes with their own CRC behind them', () => {
    for (const length of [9, 8]) {
      const crc = crc16(digits, 1, 1 + length);
      const whole = Uint8Array.of(...digits.subarray(1, 1 + length), crc >> 8, crc & 255);
      expect(crc16(whole, 0, whole.length)).toBe(0);
    }
  });
});

import { describe, expect, it } from 'vitest';
import { isSameForm, parseMpegHeader } from '../../../../decoders/audio/mpeg/frame-header.ts';
import { fromHex } from '../wav-file.ts';

const parse = (hex: string) => parseMpegHeader(fromHex(hex), 0);

describe('parseMpegHeader', () => {
  // Lengths by the formula of ISO/IEC 11172-3, 2.4.3.1: 144 * rate / frequency, and half of it for layer III of 13818-3.
  it.each([
    ['fffb9064', { version: 1, layer: 3, sampleRateHz: 44_100, channels: 2, samples: 1152, bytes: 417 }],
    ['fffb9264', { version: 1, layer: 3, sampleRateHz: 44_100, channels: 2, samples: 1152, bytes: 418 }],
    ['fffbe4c4', { version: 1, layer: 3, sampleRateHz: 48_000, channels: 1, samples: 1152, bytes: 960 }],
    ['fff38cc4', null],
    ['fff388c4', { version: 2, layer: 3, sampleRateHz: 16_000, channels: 1, samples: 576, bytes: 288 }],
    ['ffe338c4', { version: 2.5, layer: 3, sampleRateHz: 8000, channels: 1, samples: 576, bytes: 216 }],
    ['fffde804', { version: 1, layer: 2, sampleRateHz: 32_000, channels: 2, samples: 1152, bytes: 1728 }],
  ])('%s', (hex, header) => {
    expect(parse(hex)).toEqual(header);
  });

  it.each([
    ['no sync', 'ff7b9064'],
    ['reserved version', 'ffeb9064'],
    ['reserved layer', 'fff99064'],
    ['layer I', 'ffff9064'],
    ['free format', 'fffb0064'],
    ['forbidden rate', 'fffbf064'],
    ['reserved frequency', 'fffb9c64'],
    ['reserved emphasis', 'fffb9066'],
  ])('refuses %s', (_, hex) => {
    expect(parse(hex)).toBeNull();
  });

  it('tells streams apart by what a stream cannot change', () => {
    const same = (a: string, b: string) => {
      const [x, y] = [parse(a), parse(b)];
      return x !== null && y !== null && isSameForm(x, y);
    };
    expect(same('fffb9064', 'fffbe264')).toBe(true);
    expect(same('fffb9064', 'fffb9464')).toBe(false);
    expect(same('fffb9064', 'fffb90c4')).toBe(false);
    expect(same('fffb9064', 'fffd9064')).toBe(false);
  });
});

// @vitest-environment node
import { describe, expect, it } from 'vitest';
import { colourTable, contrastOf, type Rgb } from '../../../web/spectrogram/colour-map.ts';

/** CIE 1976 lightness of an sRGB colour (IEC 61966-2-1, CIE 15; from memory). */
function lightness([r = 0, g = 0, b = 0]: readonly number[]): number {
  const linear = [r, g, b].map((value) => {
    const c = value / 255;
    return c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4;
  });
  const y = 0.2126 * (linear[0] ?? 0) + 0.7152 * (linear[1] ?? 0) + 0.0722 * (linear[2] ?? 0);
  return y > 0.008856 ? 116 * Math.cbrt(y) - 16 : 903.3 * y;
}

const PAPER: Rgb = [250, 247, 240];
const SERIES: Rgb = [0, 114, 178];
const INK: Rgb = [28, 26, 23];
const at = (table: Uint8ClampedArray, level: number): number[] => [...table.subarray(4 * level, 4 * level + 3)];

describe('the colours', () => {
  const table = colourTable([PAPER, SERIES, INK], { low: 100, high: 140 });

  it('go from paper through the colour of a series to ink, and stay there', () => {
    for (const level of [0, 100]) expect(at(table, level)).toEqual(PAPER);
    for (const level of [140, 255]) expect(at(table, level)).toEqual(INK);
  });

  it('get darker by even steps for the eye', () => {
    const steps = Array.from({ length: 40 }, (_, i) => lightness(at(table, 100 + i)) - lightness(at(table, 101 + i)));
    expect(Math.min(...steps)).toBeGreaterThan(0.8);
    expect(Math.max(...steps)).toBeLessThan(3.5);
  });
});

describe('the contrast', () => {
  const noise = (level: number): Uint8Array => new Uint8Array(7000).fill(level);

  it('leaves noise alone as paper', () => {
    const { low, high } = contrastOf([noise(80)]);
    expect(low).toBeGreaterThan(80);
    expect(high).toBe(low + 40);
  });

  it('gives full ink to what stands far above it, but no voice hides a burst', () => {
    const tile = noise(80).fill(135, 0, 700);
    expect(contrastOf([tile]).high).toBe(135);
    expect(contrastOf([tile.fill(250, 0, 350)]).high).toBe(80 + 10 + 60);
  });

  it('does not count silence', () => {
    expect(contrastOf([noise(80), noise(0), noise(0), noise(0)])).toEqual(contrastOf([noise(80)]));
    expect(contrastOf([])).toEqual({ low: 0, high: 60 });
  });
});

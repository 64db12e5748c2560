import { describe, expect, it } from 'vitest';
import { resample } from '../../../decoders/simulate/resample.ts';
import { tonePower } from './goertzel.ts';

const tone = (hz: number, rate: number, seconds: number): Float32Array =>
  Float32Array.from({ length: seconds * rate }, (_, n) => Math.sin((2 * Math.PI * hz * n) / rate));

describe('resample', () => {
  it.each([
    [8000, 48_000],
    [44_100, 8000],
    [11_025, 16_000],
  ])('keeps a tone in time, height and pitch: %d -> %d', (from, to) => {
    const out = resample(tone(1000, from, 1), from, to);
    expect(out.length).toBe(to);
    let worst = 0;
    for (let n = 200; n < to - 200; n++) {
      worst = Math.max(worst, Math.abs(out[n] - Math.sin((2 * Math.PI * 1000 * n) / to)));
    }
    expect(worst).toBeLessThan(2e-3);
  });

  it('lets nothing fold back that the new rate cannot hold', () => {
    const out = resample(tone(5000, 48_000, 1), 48_000, 8000);
    expect(tonePower(out, 3000, 8000)).toBeLessThan(1e-5);
  });

  it('gives back what has the right rate, and refuses no rate', () => {
    const samples = tone(1000, 8000, 1);
    expect(resample(samples, 8000, 8000)).toBe(samples);
    expect(() => resample(samples, 0, 8000)).toThrow(expect.objectContaining({ code: 'bad-rate' }));
  });
});

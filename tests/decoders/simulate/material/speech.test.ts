import { describe, expect, it } from 'vitest';
import { speech } from '../../../../decoders/simulate/material/speech.ts';
import { take } from '../../../../decoders/simulate/source.ts';

const RATE = 8000;
/** 20 ms. */
const FRAME = 160;

/** Fundamental of a window by the highest peak of its autocorrelation, and how periodic it is (0..1). */
function pitchOf(window: Float32Array): { hz: number; periodicity: number } {
  let best = 0;
  let bestLag = 1;
  for (let lag = Math.round(RATE / 300); lag <= RATE / 70; lag++) {
    let product = 0;
    let a = 0;
    let b = 0;
    for (let n = lag; n < window.length; n++) {
      product += window[n] * window[n - lag];
      a += window[n] ** 2;
      b += window[n - lag] ** 2;
    }
    const value = product / Math.sqrt(a * b + 1e-12);
    if (value > best + 0.02) {
      best = value;
      bestLag = lag;
    }
  }
  return { hz: RATE / bestLag, periodicity: best };
}

describe('speech', () => {
  const samples = take(speech({ sampleRateHz: RATE, seed: 4 }), 120 * RATE);
  const frames = Math.floor(samples.length / FRAME);
  const power = Float64Array.from({ length: frames }, (_, f) => {
    const frame = samples.subarray(f * FRAME, (f + 1) * FRAME);
    return frame.reduce((sum, x) => sum + x * x, 0) / FRAME;
  });
  const loud = 0.1 * Math.max(...power);

  it('talks between 40 and 90 % of the time', () => {
    const share = power.filter((p) => p > 1e-4 * loud).length / frames;
    expect(share).toBeGreaterThan(0.4);
    expect(share).toBeLessThan(0.9);
  });

  it('has most of its loudness change at 2 to 8 Hz, the rhythm of syllables (Houtgast and Steeneken 1985)', () => {
    const level = power.map((p) => Math.sqrt(p));
    const mean = level.reduce((sum, x) => sum + x, 0) / frames;
    const change = (hz: number): number => {
      let re = 0;
      let im = 0;
      for (let f = 0; f < frames; f++) {
        re += (level[f] - mean) * Math.cos((2 * Math.PI * hz * f * FRAME) / RATE);
        im += (level[f] - mean) * Math.sin((2 * Math.PI * hz * f * FRAME) / RATE);
      }
      return re * re + im * im;
    };
    const band = (from: number, to: number): number => {
      let sum = 0;
      for (let hz = from; hz < to; hz += 1 / 120) sum += change(hz);
      return sum / (to - from);
    };
    expect(band(2, 8)).toBeGreaterThan(3 * band(12, 24));
  });

  it('is voiced in part, by several voices between 70 and 300 Hz, and hisses in part', () => {
    const voiced: number[] = [];
    let unvoiced = 0;
    for (let f = 0; f + 2 < frames; f += 2) {
      if (power[f] < loud / 10) continue;
      const { hz, periodicity } = pitchOf(samples.subarray(f * FRAME, (f + 2) * FRAME));
      if (periodicity > 0.8) voiced.push(hz);
      else if (periodicity < 0.5) unvoiced++;
    }
    voiced.sort((a, b) => a - b);
    expect(voiced.length).toBeGreaterThan(300);
    expect(unvoiced).toBeGreaterThan(30);
    const low = voiced[Math.floor(0.1 * voiced.length)];
    const high = voiced[Math.floor(0.9 * voiced.length)];
    expect(low).toBeGreaterThan(70);
    expect(high / low).toBeGreaterThan(1.3);
  });
});

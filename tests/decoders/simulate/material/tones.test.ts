import { describe, expect, it } from 'vitest';
import { carriers, dtmf, steadyTone } from '../../../../decoders/simulate/material/tones.ts';
import { take } from '../../../../decoders/simulate/source.ts';
import reference from '../../../reference/tones.json';
import { tonePower } from '../goertzel.ts';

const RATE = 8000;

describe('dtmf', () => {
  it('sounds one row and one column tone at a time (ITU-T Q.23, tests/reference/tones.json)', () => {
    const samples = take(dtmf({ sampleRateHz: RATE, seed: 2 }), 60 * RATE);
    const groups = [reference.dtmf.map((key) => key.low_hz), reference.dtmf.map((key) => key.high_hz)];
    let digits = 0;
    for (let from = 0; from + 200 <= samples.length; from += 200) {
      const window = samples.subarray(from, from + 200);
      const power = window.reduce((sum, x) => sum + x * x, 0) / 200;
      // Only windows that a tone fills.
      if (power < 0.06) continue;
      digits++;
      for (const group of groups) {
        const strongest = Math.max(...group.map((hz) => tonePower(window, hz, RATE)));
        expect(strongest / power).toBeGreaterThan(0.3);
      }
    }
    expect(digits).toBeGreaterThan(100);
  });
});

describe('steadyTone', () => {
  it('stays at its frequency and level', () => {
    const samples = take(steadyTone(88.5, { sampleRateHz: RATE, seed: 1, gain: 0.4 }), 20 * RATE);
    expect(tonePower(samples, 88.5, RATE)).toBeCloseTo(0.2 ** 2 / 2, 5);
  });
});

describe('carriers', () => {
  it('stand still without drift, and move with it', () => {
    /** Share of the power of 1 s windows that stays in the bins of 1 Hz it was in at first. */
    const kept = (mostDriftHzPerSecond: number): number => {
      const samples = take(carriers({ sampleRateHz: RATE, seed: 3, count: 1, mostDriftHzPerSecond }), 10 * RATE);
      const powers = (from: number) =>
        Array.from({ length: 3000 }, (_, hz) => tonePower(samples, hz, RATE, from, from + RATE));
      const [first, last] = [powers(0), powers(9 * RATE)];
      const strongest = first.indexOf(Math.max(...first));
      return last[strongest] / first[strongest];
    };
    expect(kept(0)).toBeGreaterThan(0.99);
    expect(kept(50)).toBeLessThan(0.01);
  });
});

import { describe, expect, it } from 'vitest';
import { meanPower } from '../../../decoders/simulate/channel.ts';
import type { ChannelFaults } from '../../../decoders/simulate/faults.ts';
import { chooseLevels } from '../../../decoders/simulate/levels.ts';
import { ebN0Db } from '../../../decoders/simulate/noise.ts';

const levels = (faults: ChannelFaults) => chooseLevels(50, faults, 8000);

describe('chooseLevels', () => {
  it('keeps noise and speech at their levels against the tones, and all of them within full scale', () => {
    const speech = { samples: Float32Array.from({ length: 8000 }, (_, n) => (n % 2 ? 9 : -9)), sampleRateHz: 8000 };
    const chosen = levels({ ebN0Db: 3, speech: { ...speech, levelDb: 10 } });
    const signalPower = chosen.amplitude ** 2 / 2;
    expect(ebN0Db(chosen.sigma, { baud: 50, sampleRateHz: 8000, signalPower })).toBeCloseTo(3, 9);
    const talk = chosen.speech ?? new Float32Array(0);
    expect(10 * Math.log10(meanPower(talk) / signalPower)).toBeCloseTo(10, 5);
    expect(chosen.amplitude + 4.9 * chosen.sigma + Math.max(...talk)).toBeLessThan(0.951);
  });

  it('gives the tones half of full scale where nothing else needs room', () => {
    expect(levels({})).toEqual({ amplitude: 0.5, sigma: 0, speech: null });
    expect(levels({ imbalanceDb: 2 }).amplitude).toBe(0.5);
  });

  it('leaves room for what fading lifts, and for clicks', () => {
    expect(levels({ fading: { kind: 'flat', spreadHz: 1 } }).amplitude).toBeCloseTo(0.3, 2);
    // Twice the width of the IF filter is 0.95.
    const fmLink = { cn0DbHz: 40, ifBandwidthHz: 15_000, peakDeviationHz: 3000 };
    expect(levels({ fmLink }).amplitude).toBeCloseTo(0.095, 9);
  });
});

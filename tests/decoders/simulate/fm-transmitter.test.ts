import { describe, expect, it } from 'vitest';
import { fmTransmitter } from '../../../decoders/simulate/fm-transmitter.ts';
import type { Gain } from '../../../decoders/simulate/gain.ts';
import type { Source } from '../../../decoders/simulate/source.ts';

describe('fmTransmitter', () => {
  const carrier: Gain & { re: number; im: number } = {
    re: 0,
    im: 0,
    // Nothing for one millisecond, then an amplitude of two, a quarter turn ahead.
    moveTo(seconds) {
      this.im = seconds < 0.001 ? 0 : 2;
    },
  };
  const ramp: Source = {
    fill(block) {
      for (let i = 0; i < block.length; i++) block[i] = i / block.length;
    },
  };

  it('turns as fast as the modulation says, at the amplitude and phase of the carrier', () => {
    const [re, im] = [new Float32Array(100), new Float32Array(100)];
    fmTransmitter({ modulation: ramp, carrier, peakDeviationHz: 3000, sampleRateHz: 48_000 }).fill(re, im);
    let turns = 0;
    for (let n = 0; n < 100; n++) {
      turns += (3000 / 48_000) * (n / 100);
      const amplitude = n < 48 ? 0 : 2;
      expect(re[n]).toBeCloseTo(-amplitude * Math.sin(2 * Math.PI * turns), 5);
      expect(im[n]).toBeCloseTo(amplitude * Math.cos(2 * Math.PI * turns), 5);
    }
  });
});

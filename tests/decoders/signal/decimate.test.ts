import { describe, expect, test } from 'vitest';
import { createDecimator, WORKING_RATE_HZ } from '../../../decoders/signal/decimate.ts';
import { Random } from '../../../decoders/simulate/random.ts';

const RATES_HZ = [8000, 11_025, 16_000, 22_050, 24_000, 32_000, 44_100, 48_000, 96_000, 192_000];

function decimate(samples: Float32Array, sampleRateHz: number, blockSamples = samples.length): number[] {
  const out: number[] = [];
  const decimator = createDecimator(sampleRateHz);
  for (let at = 0; at < samples.length; at += blockSamples) {
    decimator.push(samples.subarray(at, at + blockSamples), (block) => out.push(...block));
  }
  decimator.end((block) => out.push(...block));
  return out;
}

function sine(hz: number, sampleRateHz: number, seconds = 0.5): Float32Array {
  return Float32Array.from({ length: Math.round(seconds * sampleRateHz) }, (_, n) =>
    Math.sin((2 * Math.PI * hz * n) / sampleRateHz),
  );
}

/** Root mean square of the middle, where filters have all they need. */
function level(samples: readonly number[]): number {
  const middle = samples.slice(400, -400);
  return Math.sqrt(middle.reduce((sum, x) => sum + x * x, 0) / middle.length);
}

describe.each(RATES_HZ)('from %d Hz', (rate) => {
  test('tones pass unharmed, and at their time', () => {
    for (const hz of [300, 1000, 2200, 3100]) {
      const out = decimate(sine(hz, rate), rate);
      expect(out).toHaveLength(Math.ceil((Math.round(0.5 * rate) * WORKING_RATE_HZ) / rate));
      for (let n = 400; n < 500; n++) {
        expect(Math.abs(out[n] - Math.sin((2 * Math.PI * hz * n) / WORKING_RATE_HZ))).toBeLessThan(0.02);
      }
    }
  });

  test.skipIf(rate === WORKING_RATE_HZ)('nothing folds down onto them', () => {
    for (const hz of [5000, 6500, 7500, 9100, 15_000, 23_000].filter((each) => each < 0.48 * rate)) {
      expect(level(decimate(sine(hz, rate), rate))).toBeLessThan(0.01);
    }
  });

  test('other blocks give the same bits', () => {
    const random = new Random(rate);
    const noise = Float32Array.from({ length: 9000 }, () => random.gaussian());
    const whole = decimate(noise, rate);
    for (const block of [1, 777, 4096]) expect(decimate(noise, rate, block)).toEqual(whole);
  });
});

import { describe, expect, it } from 'vitest';
import { Fading, type FadingOptions } from '../../../decoders/simulate/fading.ts';
import { Random } from '../../../decoders/simulate/random.ts';

/** The gain at `count` times, `stepSeconds` apart. */
function gains(options: FadingOptions, stepSeconds: number, count: number, seed = 1) {
  const fading = new Fading(options, new Random(seed));
  const re = new Float64Array(count);
  const im = new Float64Array(count);
  for (let i = 0; i < count; i++) {
    fading.moveTo(i * stepSeconds);
    re[i] = fading.re;
    im[i] = fading.im;
  }
  return { re, im, power: re.map((x, i) => x * x + im[i] * im[i]) };
}

function mean(values: Float64Array, count = values.length): number {
  return values.subarray(0, count).reduce((sum, x) => sum + x, 0) / count;
}

describe('Fading', () => {
  // Times 2 / spread apart are independent: the autocorrelation there is below 1e-8.
  const count = 20_000;
  const apart = 2;

  it('has a Rayleigh envelope when no path is steady', () => {
    const { power, re, im } = gains({ spreadHz: 1 }, apart, count);
    expect(Math.abs(mean(power) - 1)).toBeLessThan(5 / Math.sqrt(count));
    expect(Math.abs(mean(re))).toBeLessThan(5 * Math.sqrt(0.5 / count));
    expect(Math.abs(mean(im))).toBeLessThan(5 * Math.sqrt(0.5 / count));
    // P(power < x) = 1 - exp(-x): Proakis, Digital Communications, 4th ed., section 14.1.
    for (const x of [0.01, 0.03, 0.1, 0.3, 1, 2, 4]) {
      const share = power.filter((p) => p < x).length / count;
      const wanted = 1 - Math.exp(-x);
      expect(Math.abs(share - wanted)).toBeLessThan(5 * Math.sqrt((wanted * (1 - wanted)) / count));
    }
  });

  it.each([0, 6, 10])('has a Rician envelope with a K factor of %d dB', (ricianKDb) => {
    const { power, re } = gains({ spreadHz: 1, ricianKDb }, apart, count);
    const k = 10 ** (ricianKDb / 10);
    // Amount of fading, variance of the power over its squared mean: Simon and Alouini, Digital Communication over
    // Fading Channels, section 2.2.1.
    const variance = (1 + 2 * k) / (1 + k) ** 2;
    expect(Math.abs(mean(power) - 1)).toBeLessThan(5 * Math.sqrt(variance / count));
    expect(Math.abs(mean(power.map((p) => (p - 1) ** 2)) / variance - 1)).toBeLessThan(0.06);
    expect(Math.abs(mean(re) - Math.sqrt(k / (1 + k)))).toBeLessThan(5 / Math.sqrt(count));
    for (const x of [0.1, 0.3, 1, 2]) {
      const share = power.filter((p) => p < x).length / count;
      const wanted = ricianPowerBelow(x, k);
      expect(Math.abs(share - wanted)).toBeLessThan(5 * Math.sqrt((wanted * (1 - wanted)) / count) + 1e-4);
    }
  });

  it.each([0.2, 1, 20])('changes as fast as a Doppler spread of %d Hz says', (spreadHz) => {
    const steps = 20;
    const { re, im } = gains({ spreadHz }, 1 / (steps * spreadHz), 300_000);
    // Fourier transform of a Gaussian spectrum whose standard deviation is half the spread.
    for (const lag of [2, 6, 10, 15, 30]) {
      const products = re.subarray(lag).map((x, i) => x * re[i] + im[i + lag] * im[i]);
      const wanted = Math.exp(-0.5 * ((Math.PI * lag) / steps) ** 2);
      // 300 000 steps are some 10 000 independent stretches.
      expect(Math.abs(mean(products) - wanted)).toBeLessThan(0.05);
      const turned = re.subarray(lag).map((x, i) => im[i + lag] * re[i] - x * im[i]);
      expect(Math.abs(mean(turned))).toBeLessThan(0.05);
    }
  });

  it('falls below a level as often as the level-crossing rate of a Gaussian spectrum says', () => {
    const { power } = gains({ spreadHz: 1 }, 1 / 200, 1_000_000);
    for (const level of [0.1, 0.5, 1]) {
      let crossings = 0;
      for (let i = 1; i < power.length; i++) if (power[i - 1] >= level ** 2 && power[i] < level ** 2) crossings++;
      // sqrt(b2 / (pi b0)) level exp(-level^2) with b2 / b0 = (2 pi 0.5 Hz)^2: S. O. Rice, Mathematical Analysis of
      // Random Noise, 1944/45; W. C. Jakes, Microwave Mobile Communications, section 1.3.4.
      const wanted = 5000 * Math.sqrt(Math.PI) * level * Math.exp(-(level ** 2));
      expect(Math.abs(crossings - wanted)).toBeLessThan(5 * Math.sqrt(wanted));
    }
  });

  it('is smooth: no knot, step or line shows', () => {
    const { re } = gains({ spreadHz: 1 }, 1 / 2000, 100_000);
    let largest = 0;
    for (let i = 2; i < re.length; i++) largest = Math.max(largest, Math.abs(re[i] - 2 * re[i - 1] + re[i - 2]));
    // One line turns into the next by the curvature, some pi^2, times their length of 14 ms, times the 0.5 ms of a step.
    expect(largest).toBeLessThan(5e-4);
  });

  it('is the same for the same seed, at whatever times it is looked at', () => {
    const often = gains({ spreadHz: 5, ricianKDb: 3 }, 0.001, 20_001, 7);
    const seldom = gains({ spreadHz: 5, ricianKDb: 3 }, 0.5, 41, 7);
    for (let i = 0; i <= 40; i++) expect(seldom.re[i]).toBeCloseTo(often.re[500 * i], 12);
    expect(gains({ spreadHz: 5, ricianKDb: 3 }, 0.5, 41, 8).re[3]).not.toBeCloseTo(seldom.re[3], 3);
  });

  it.each([
    { spreadHz: 0 },
    { spreadHz: -1 },
    { spreadHz: 101 },
    { spreadHz: Number.NaN },
    { spreadHz: 1, ricianKDb: Number.POSITIVE_INFINITY },
    { spreadHz: 1, ricianKDb: Number.NaN },
  ])('refuses %j', (options) => {
    expect(() => new Fading(options, new Random(1))).toThrow(expect.objectContaining({ code: 'bad-fading' }));
  });
});

/**
 * Distribution of the power of a Rician envelope of mean power one: twice (1 + K) times the power is non-central
 * chi-square of two degrees of freedom, a Poisson mixture of central ones (Proakis, Digital Communications, section 2.1.4).
 */
function ricianPowerBelow(x: number, k: number): number {
  const y = (1 + k) * x;
  let poisson = Math.exp(-k);
  let term = Math.exp(-y);
  let tail = term;
  let below = 0;
  for (let j = 0; j < 200; j++) {
    below += poisson * (1 - tail);
    poisson *= k / (j + 1);
    term *= y / (j + 1);
    tail += term;
  }
  return below;
}

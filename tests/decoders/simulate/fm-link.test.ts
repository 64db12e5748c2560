import { describe, expect, it } from 'vitest';
import { meanPower } from '../../../decoders/simulate/channel.ts';
import { type FmLinkOptions, fmLink } from '../../../decoders/simulate/fm-link.ts';
import type { Gain } from '../../../decoders/simulate/gain.ts';
import { Random } from '../../../decoders/simulate/random.ts';
import { type Source, take } from '../../../decoders/simulate/source.ts';
import { tonePower } from './goertzel.ts';

const steady: Gain = { re: 1, im: 0, moveTo: () => {} };

function cosine(hz: number, amplitude: number) {
  return (sampleRateHz: number): Source => {
    let n = 0;
    return {
      fill(block) {
        for (let i = 0; i < block.length; i++, n++)
          block[i] = amplitude * Math.cos((2 * Math.PI * hz * n) / sampleRateHz);
      },
    };
  };
}

const usual: Omit<FmLinkOptions, 'random' | 'amplitude'> = {
  cn0DbHz: 60,
  ifBandwidthHz: 15_000,
  peakDeviationHz: 3000,
  modulationAt: cosine(0, 0),
  carrier: steady,
  audioRateHz: 48_000,
};

/** The discriminator's audio, in Hz unless an amplitude is given. */
function audioOf(changes: Partial<FmLinkOptions>, seconds: number, seed = 1): Float32Array {
  const options = { ...usual, amplitude: usual.peakDeviationHz, random: new Random(seed), ...changes };
  return take(fmLink(options), Math.round(seconds * options.audioRateHz));
}

/** One-sided spectral density at a frequency, from stretches of a tenth of a second. */
function density(samples: Float32Array, hz: number, rate: number): number {
  const length = rate / 10;
  let sum = 0;
  const count = Math.floor(samples.length / length);
  for (let i = 0; i < count; i++)
    sum += tonePower(samples.subarray(i * length, (i + 1) * length), hz, rate) * (length / rate);
  return sum / count;
}

describe('fmLink', () => {
  it.each([8000, 11_025, 48_000])('gives the modulation back in time, at %d samples a second', (audioRateHz) => {
    const audio = audioOf({ cn0DbHz: 100, modulationAt: cosine(1275, 1), amplitude: 0.3, audioRateHz }, 0.5);
    for (let n = 100; n < audio.length; n += 7) {
      const wanted = 0.3 * Math.cos((2 * Math.PI * 1275 * n) / audioRateHz);
      expect(Math.abs(audio[n] - wanted)).toBeLessThan(0.006);
    }
  });

  it('has noise that rises with the square of the frequency, while far above the threshold', () => {
    const audio = audioOf({ cn0DbHz: 60, modulationAt: cosine(1000, 1) }, 20);
    // f^2 N0 / C: Carlson, Communication Systems, section 10.2; it makes the usual SNR 3/2 (deviation / W)^2 C / (N0 W).
    for (const hz of [1500, 2200, 3000]) {
      let sum = 0;
      for (let k = -4; k <= 4; k++) sum += density(audio, hz + 10 * k, 48_000) / 9;
      // 200 stretches, nine bins each: a standard error of 2.4 %.
      expect(Math.abs(sum / (hz ** 2 * 1e-6) - 1)).toBeLessThan(0.1);
    }
    expect(density(audio, 1000, 48_000) * 10).toBeGreaterThan(0.99 * (3000 ** 2 / 2));
  });

  it.each([3, 5])('clicks as often as Rice says at %d dB of carrier over noise', (cnrDb) => {
    const ratio = 10 ** (cnrDb / 10);
    const seconds = 30;
    const audio = audioOf({ cn0DbHz: cnrDb + 10 * Math.log10(15_000) }, seconds);
    // The phase runs near whole turns and steps from one to another by clicks.
    let turns = 0;
    let whole = 0;
    let clicks = 0;
    for (const hz of audio) {
      turns += hz / 48_000;
      while (turns > whole + 0.75) {
        whole++;
        clicks++;
      }
      while (turns < whole - 0.75) {
        whole--;
        clicks++;
      }
    }
    // Radius of gyration times erfc(sqrt(ratio)): S. O. Rice, Noise in FM receivers (Time Series Analysis, ed.
    // Rosenblatt, 1963); as in Taub and Schilling, Principles of Communication Systems, section 10.3.
    const wanted = ((seconds * 15_000) / Math.sqrt(12)) * erfc(Math.sqrt(ratio));
    // He counts a step that is taken back at once as two, and a few are too quick for the samples.
    expect(clicks / wanted).toBeGreaterThan(0.85);
    expect(clicks / wanted).toBeLessThan(1.02);
  });

  it('suppresses the modulation below the threshold as its clicks, which go against it, say', () => {
    for (const cnrDb of [-2, 0, 3]) {
      const audio = audioOf({ cn0DbHz: cnrDb + 10 * Math.log10(15_000), modulationAt: cosine(0, 0.5) }, 20);
      const mean = audio.reduce((sum, x) => sum + x, 0) / audio.length;
      // Rice 1963: clicks against a shift of so many Hz exceed those with it by shift exp(-ratio) a second.
      expect(Math.abs(mean - 1500 * (1 - Math.exp(-(10 ** (cnrDb / 10)))))).toBeLessThan(45);
    }
  });

  it('roars while the carrier is off and while it fades', () => {
    const carrier = {
      re: 0,
      im: 0,
      moveTo(seconds: number) {
        this.im = seconds < 1 ? 0 : seconds < 2 ? 1 : 0.03;
      },
    };
    const audio = audioOf({ cn0DbHz: 55, carrier, audioRateHz: 8000 }, 3);
    const [off, on, faded] = [0, 1, 2].map((k) => meanPower(audio.subarray(8000 * k + 100, 8000 * (k + 1) - 100)));
    expect(off).toBeGreaterThan(100 * on);
    // Power 30 dB down: far below the threshold.
    expect(faded).toBeGreaterThan(50 * on);
    expect(faded).toBeLessThan(off);
  });

  it('is the same for the same seed in blocks of any size', () => {
    const options = { ...usual, cn0DbHz: 40, audioRateHz: 8000, amplitude: 0.3 };
    const link = (seed: number) => fmLink({ ...options, random: new Random(seed) });
    const whole = take(link(1), 3000);
    const source = link(1);
    const parts = [1, 999, 1700, 300].flatMap((count) => [...take(source, count)]);
    expect(parts).toEqual([...whole]);
    expect(take(link(2), 3000)).not.toEqual(whole);
  });

  it.each([
    { cn0DbHz: Number.NaN },
    { ifBandwidthHz: 0 },
    { ifBandwidthHz: Number.POSITIVE_INFINITY },
    { peakDeviationHz: 0 },
    { peakDeviationHz: Number.NaN },
  ])('refuses %j', (changes) => {
    expect(() => audioOf(changes, 1)).toThrow(expect.objectContaining({ code: 'bad-fm-link' }));
  });
});

/** Complementary error function, within 1.2e-7 of itself: W. H. Press et al., Numerical Recipes, section 6.2. */
function erfc(x: number): number {
  const t = 1 / (1 + x / 2);
  const c = [
    -1.26551223, 1.00002368, 0.37409196, 0.09678418, -0.18628806, 0.27886807, -1.13520398, 1.48851587, -0.82215223,
    0.17087277,
  ];
  return t * Math.exp(-x * x + c.reduceRight((sum, a) => sum * t + a, 0));
}

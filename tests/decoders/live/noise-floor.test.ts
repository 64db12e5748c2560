import { expect, test } from 'vitest';
import { aboveFloor, NoiseFloor } from '../../../decoders/live/noise-floor.ts';
import { tuneWindow } from '../../../decoders/live/tuned-window.ts';
import { ebN0Db } from '../../../decoders/signal/burst-level.ts';
import { Random } from '../../../decoders/simulate/random.ts';

const RATE_HZ = 8000;
const KEYING = { baud: 50, stopElements: 1.5, markHz: 1275, spaceHz: 1445, driftHzPerSecond: 0, atSeconds: 0 } as const;
const SIGMA = 0.1;

/** The floor after so many seconds of noise, with a tone of this amplitude on mark. */
function floorAfter(seconds: number, toneAmplitude = 0): { readonly power: number; readonly truth: number } {
  const random = new Random(3);
  const floor = new NoiseFloor();
  let truth = 0;
  for (let n = 0; n < 10 * seconds; n++) {
    const samples = new Float32Array(RATE_HZ / 5);
    for (let i = 0; i < samples.length; i++) {
      samples[i] = toneAmplitude * Math.sin((2 * Math.PI * KEYING.markHz * i) / RATE_HZ);
    }
    random.addGaussian(samples, SIGMA);
    const window = tuneWindow({ samples, sampleRateHz: RATE_HZ, startSeconds: 0 }, KEYING, null);
    floor.take(window);
    // A tone of level one has this amplitude; one element of white noise holds 2 sigma^2 / (rate T) of a squared amplitude, twice.
    truth = (4 * SIGMA ** 2 * KEYING.baud) / RATE_HZ / window.amplitudeOfLevel ** 2;
    window.elements.rest();
  }
  return { power: floor.power, truth };
}

test('is the power of white noise in an element', () => {
  const { power, truth } = floorAfter(10);
  expect(Math.abs(10 * Math.log10(power / truth))).toBeLessThan(0.7);
});

test('is not raised by a carrier on one of the tones', () => {
  const { power, truth } = floorAfter(10, 0.05);
  expect(10 * Math.log10(power / truth)).toBeLessThan(1);
});

test('says nothing after too short a time', () => {
  expect(floorAfter(0.5).power).toBe(0);
});

test('elements keep what they hold when their noise is raised to the floor', () => {
  const level = { markLevel: 3, spaceLevel: 2, noisePower: 0.5 };
  const raised = aboveFloor(level, 1);
  expect(raised.noisePower).toBe(1);
  expect(raised.markLevel ** 2 + raised.noisePower).toBeCloseTo(9.5);
  expect(raised.spaceLevel ** 2 + raised.noisePower).toBeCloseTo(4.5);
  expect(aboveFloor(level, 0.4)).toBe(level);
  // What looked like 7 dB is nothing where so much noise stands.
  expect(ebN0Db(aboveFloor({ markLevel: 1, spaceLevel: 1, noisePower: 0.2 }, 1.5))).toBeLessThan(-20);
});

import { describe, expect, test } from 'vitest';
import { createBand } from '../../../../decoders/signal/known/band.ts';
import { Random } from '../../../../decoders/simulate/random.ts';

const RATE_HZ = 8000;

function tone(hz: number, seconds: number): Float32Array {
  return Float32Array.from({ length: seconds * RATE_HZ }, (_, n) => Math.cos((2 * Math.PI * hz * n) / RATE_HZ + 0.7));
}

function bandOf(samples: Float32Array, piece = samples.length) {
  const band = createBand(1360, 200, 2);
  for (let at = 0; at < samples.length; at += piece) band.push(samples.subarray(at, at + piece));
  return band;
}

/** A second from the middle of what the band holds. */
const middleOf = (band: ReturnType<typeof bandOf>) => {
  const count = Math.floor(band.rateHz / 2);
  return band.slice(band.written - 2 * count, count);
};

describe('a tone', () => {
  test.each([-195, -60, 0, 110, 195])(
    '%d Hz from the centre keeps its frequency, phase and half its amplitude',
    (hz) => {
      const { re, im, rateHz, startSeconds } = middleOf(bandOf(tone(1360 + hz, 2)));
      for (let n = 0; n < re.length; n++) {
        const phase = 2 * Math.PI * hz * (startSeconds + n / rateHz) + 0.7;
        expect(re[n]).toBeCloseTo(0.5 * Math.cos(phase), 2);
        expect(im[n]).toBeCloseTo(0.5 * Math.sin(phase), 2);
      }
    },
  );

  test.each([300, 800, 1950, 3000])('at %d Hz is not heard', (hz) => {
    const { re, im } = middleOf(bandOf(tone(hz, 2)));
    for (let n = 0; n < re.length; n++) expect(Math.hypot(re[n], im[n])).toBeLessThan(0.5 * 10 ** (-40 / 20));
  });
});

test('is the same in pieces of any size', () => {
  const noise = new Float32Array(3 * RATE_HZ);
  new Random(1).addGaussian(noise, 1);
  const whole = bandOf(noise);
  for (const piece of [1, 997, 5000]) {
    const other = bandOf(noise, piece);
    expect(other.written).toBe(whole.written);
    expect(other.re).toEqual(whole.re);
    expect(other.im).toEqual(whole.im);
  }
});

test('gives silence for what it has forgotten and what it has not heard', () => {
  const band = bandOf(tone(1360, 8));
  const { re } = band.slice(0, 10);
  expect([...re]).toEqual(new Array(10).fill(0));
  const end = band.slice(band.written - 2, 4).re;
  expect(end[1]).not.toBe(0);
  expect([...end.slice(2)]).toEqual([0, 0]);
  expect([...band.slice(0, 10).re]).toEqual(new Array(10).fill(0));
  expect([...band.slice(band.written, 3).re]).toEqual([0, 0, 0]);
});

test('knows what white noise puts in a tone', () => {
  const noise = new Float32Array(60 * RATE_HZ);
  new Random(2).addGaussian(noise, 1);
  const band = createBand(1360, 200, 60);
  band.push(noise);
  const { re, im, rateHz } = band.slice(0, band.written);
  const samples = 16;
  let tones = 0;
  let all = 0;
  for (let from = 100; from + samples < re.length; from += samples) {
    for (const hz of [-85, 85]) {
      let zRe = 0;
      let zIm = 0;
      for (let n = from; n < from + samples; n++) {
        const phase = (-2 * Math.PI * hz * n) / rateHz;
        zRe += re[n] * Math.cos(phase) - im[n] * Math.sin(phase);
        zIm += re[n] * Math.sin(phase) + im[n] * Math.cos(phase);
      }
      tones += zRe * zRe + zIm * zIm;
    }
    for (let n = from; n < from + samples; n++) all += samples * (re[n] * re[n] + im[n] * im[n]);
  }
  expect(band.noiseShare([-85, 85], samples) / (tones / all)).toBeCloseTo(1, 1);
});

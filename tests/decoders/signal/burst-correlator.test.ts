import { expect, test } from 'vitest';
import { correlateParts, ToneCorrelator } from '../../../decoders/signal/burst-correlator.ts';
import { Random } from '../../../decoders/simulate/random.ts';

const random = new Random(1);
const baseband = {
  re: Float64Array.from({ length: 9000 }, () => random.gaussian()),
  im: Float64Array.from({ length: 9000 }, () => random.gaussian()),
  rateHz: 2000,
  startSeconds: 3,
};

test('a window that lies between samples is worth its share of those at its ends', () => {
  const tone = new ToneCorrelator(baseband, 0);
  tone.correlate(3 + 10.25 / 2000, 3 + 12.5 / 2000);
  const { re, im } = baseband;
  expect(tone.re).toBeCloseTo(0.75 * re[10] + re[11] + 0.5 * re[12], 9);
  expect(tone.im).toBeCloseTo(0.75 * im[10] + im[11] + 0.5 * im[12], 9);
});

test('a tone of amplitude A over T seconds gives A T rate', () => {
  const phases = Array.from({ length: 9000 }, (_, n) => (2 * Math.PI * -85 * n) / 2000 + 1);
  const re = Float64Array.from(phases, (phase) => 0.3 * Math.cos(phase));
  const im = Float64Array.from(phases, (phase) => 0.3 * Math.sin(phase));
  const tone = new ToneCorrelator({ ...baseband, re, im }, -85);
  tone.correlate(5, 5.1);
  expect(Math.hypot(tone.re, tone.im)).toBeCloseTo(0.3 * 0.1 * 2000, 6);
});

test('what rests or moves on to another tone answers as a new one does', () => {
  const old = new ToneCorrelator(baseband, 40);
  const other = new ToneCorrelator({ ...baseband, re: baseband.im, im: baseband.re }, -3);
  const fresh = new ToneCorrelator(baseband, 85);
  const [from, to] = [3.1, 3.2];
  old.correlate(from, to);
  old.rest();
  other.correlate(from, to);
  old.tuneTo(85);
  old.correlate(from, to);
  fresh.correlate(from, to);
  expect([old.re, old.im]).toEqual([fresh.re, fresh.im]);
  const answer = [other.re, other.im];
  other.rest();
  other.rest();
  old.rest();
  fresh.correlate(from, to);
  other.correlate(from, to);
  expect([other.re, other.im]).toEqual(answer);
});

test('parts one after another are what each alone is, beyond the ends too', () => {
  const tone = new ToneCorrelator(baseband, 170.3);
  const [from, part, parts] = [2.9, 0.002_751, 1800];
  const together = new Float64Array(2 * parts);
  correlateParts(baseband, 170.3, from, part, together);
  for (let i = 0; i < parts; i++) {
    tone.correlate(from + i * part, from + (i + 1) * part);
    expect(together[2 * i]).toBeCloseTo(tone.re, 8);
    expect(together[2 * i + 1]).toBeCloseTo(tone.im, 8);
  }
});

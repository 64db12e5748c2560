import { expect, test } from 'vitest';
import { BandHistory } from '../../../decoders/iq/band-history.ts';
import { hzAt, viewBand } from '../../../decoders/iq/band-view.ts';

const RATE = 48_000;
const TUNING = { hz: 9000, seconds: 1.5, hzPerSecond: -90, hzPerSecond2: 2 };
const OPTIONS = { passHz: 1300, stopHz: 2600, leastRateHz: 8000 };

/** A band in which one carrier moves as the tuning says, `offHz` beside it. */
function movingCarrier(offHz: number): BandHistory {
  const history = new BandHistory(RATE, 3 * RATE);
  let turns = 0;
  const part = (shape: (angle: number) => number, phases: Float64Array) => Float32Array.from(phases, shape);
  const phases = Float64Array.from({ length: 3 * RATE }, (_, n) => {
    const phase = 2 * Math.PI * turns;
    turns += (hzAt(TUNING, (n + 0.5) / RATE) + offHz) / RATE;
    return phase;
  });
  history.append(part(Math.cos, phases), part(Math.sin, phases));
  return history;
}

test('what moves with the tuning stands still in the view, with its phase', () => {
  for (const offHz of [0, 700, -1200]) {
    const { re, im, rateHz, startSeconds } = viewBand(movingCarrier(offHz), TUNING, 0.5, 2.5, OPTIONS);
    expect([rateHz, startSeconds, re.length]).toEqual([8000, 0.5, 16_000]);
    const turn = (2 * Math.PI * offHz) / rateHz;
    let most = 0;
    for (let n = 1; n < re.length; n++) {
      const step = Math.atan2(im[n] * re[n - 1] - re[n] * im[n - 1], re[n] * re[n - 1] + im[n] * im[n - 1]);
      most = Math.max(most, Math.abs(step - turn));
      expect(Math.hypot(re[n], im[n])).toBeCloseTo(1, 1);
    }
    expect(most).toBeLessThan(0.01);
  }
});

test('what stands elsewhere is not in it, nor what is not held any more', () => {
  const { re, im } = viewBand(movingCarrier(3000), TUNING, 0.5, 2.5, OPTIONS);
  expect(Math.max(...re.map((x, n) => Math.hypot(x, im[n])))).toBeLessThan(0.01);
  const history = movingCarrier(0);
  history.append(new Float32Array(RATE), new Float32Array(RATE));
  expect(viewBand(history, TUNING, 0, 9, OPTIONS)).toMatchObject({ startSeconds: 1 });
});

import { expect, test } from 'vitest';
import { layOnClock } from '../../../decoders/teletype/clock-path.ts';
import { STEPS_PER_ELEMENT, type TimingPath } from '../../../decoders/teletype/timing.ts';

const STEPS = 165;
const FIRST = 500;
const COUNT = 40;

/** Evidence of a clean sender whose characters start at these steps, all marks between start elements. */
function evidenceOf(starts: readonly number[], length: number) {
  const mark = new Float64Array(length).fill(8);
  const space = new Float64Array(length).fill(-8);
  for (const start of starts) {
    for (let g = start - STEPS_PER_ELEMENT + 1; g < start + STEPS_PER_ELEMENT; g++) {
      const share = 1 - Math.abs(g - start) / STEPS_PER_ELEMENT;
      mark[g] = 8 - 16 * share;
      space[g] = -8 + 16 * share;
    }
  }
  return { mark, space, rest: new Float64Array(length).fill(0.3), count: length };
}

const onClock = Array.from({ length: COUNT }, (_, k) => FIRST + k * STEPS);
const pathOf = (starts: readonly number[]): TimingPath => ({
  starts: Float64Array.from(starts),
  regular: Uint8Array.from(starts, (start, i) => Number(i > 0 && Math.abs(start - starts[i - 1] - STEPS) <= 2)),
  evidence: 0,
});

test('characters that a fade took away, and one invented in it, give way to the clock', () => {
  const heard = [...onClock.slice(0, 15), FIRST + 16.4 * STEPS, ...onClock.slice(20)];
  const evidence = evidenceOf([...onClock.slice(0, 15), ...onClock.slice(20)], FIRST + 45 * STEPS);
  for (let g = FIRST + 15 * STEPS; g < FIRST + 20 * STEPS - STEPS_PER_ELEMENT; g++) {
    evidence.mark[g] = -2;
    evidence.space[g] = -2;
  }
  const laid = layOnClock(pathOf(heard), evidence, STEPS);
  expect(laid?.starts.length).toBe(COUNT);
  laid?.starts.forEach((start, k) => {
    expect(Math.abs(start - onClock[k])).toBeLessThan(2);
  });
});

test('a sender that pauses keeps its own times', () => {
  const later = Array.from({ length: 14 }, (_, k) => FIRST + (COUNT + 0.5 + k) * STEPS);
  const starts = [...onClock, ...later].map(Math.round);
  const laid = layOnClock(pathOf(starts), evidenceOf(starts, FIRST + 60 * STEPS), STEPS);
  expect(Array.from(laid?.starts ?? [], Math.round)).toEqual(starts);
  expect(laid?.regular[COUNT]).toBe(0);
});

test('a path that is all on its clock, or on none, is left alone', () => {
  const evidence = evidenceOf(onClock, FIRST + 45 * STEPS);
  expect(layOnClock(pathOf(onClock), evidence, STEPS)).toBeNull();
  const byHand = onClock.map((start, k) => start + ((k * k * 37) % 90));
  expect(layOnClock(pathOf(byHand), evidenceOf(byHand, FIRST + 45 * STEPS), STEPS)).toBeNull();
});

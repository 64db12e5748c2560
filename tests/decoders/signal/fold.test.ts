import { describe, expect, test } from 'vitest';
import type { StopElements } from '../../../decoders/mission/types.ts';
import { FINE_STEPS, foldStartStop, PER_ELEMENT, significance } from '../../../decoders/signal/fold.ts';
import { Random } from '../../../decoders/simulate/random.ts';
import { clockedKeying, randomCodes } from '../support/keying.ts';

const STOPS: readonly StopElements[] = [1, 1.42, 1.5, 2];
const CHARACTERS = 60;

/** Distance to the nearest start of a character, when one starts at 0. */
function offPlace(place: number, period: number): number {
  const into = ((place % period) + period) % period;
  return Math.min(into, period - into);
}

describe.each(STOPS)('stop of %d elements', (stop) => {
  const truth = (6 + stop) * PER_ELEMENT;

  test.each([-0.004, 0, 0.004])('place, period and polarity are found, expected off by %d', (off) => {
    for (let seed = 0; seed < 10; seed++) {
      const random = new Random(seed);
      const d = clockedKeying(randomCodes(CHARACTERS, random), stop, { sigma: 0.25, random });
      for (const polarity of [1, -1] as const) {
        const keyed = d.map((value) => polarity * value);
        const [fold] = foldStartStop(keyed, keyed.length, stop, truth * (1 + off), FINE_STEPS);
        expect(fold.polarity).toBe(polarity);
        expect(fold.stopElements).toBe(stop);
        expect(Math.abs(fold.period / truth - 1)).toBeLessThan(0.0015);
        expect(offPlace(fold.start, truth)).toBeLessThan(1);
        expect(Math.abs(fold.start + truth / 2 - keyed.length / 2)).toBeLessThan(1.1 * truth);
        expect(significance(keyed, keyed.length, fold)).toBeGreaterThan(7);
      }
    }
  });
});

test('a character over and over is given in several of the ways it fits, each in its polarity', () => {
  // R with a stop of one element is 0 01010 1: followed by its reverse six elements on are the spaces at 0, 3 and 5 and
  // the marks at 2, 4 and 6.
  const period = 7 * PER_ELEMENT;
  const d = clockedKeying(new Array<number>(CHARACTERS).fill(10), 1);
  const folds = foldStartStop(d, d.length, 1, period, FINE_STEPS);
  expect(folds).toHaveLength(4);
  const places = folds.map(({ start }) => Math.round((((start % period) + period) % period) / PER_ELEMENT) % 7);
  expect(new Set(places).size).toBe(4);
  folds.forEach(({ polarity }, i) => {
    expect(polarity === 1 ? [0, 3, 5] : [2, 4, 6]).toContain(places[i]);
  });
});

test('nothing is folded where nothing is keyed', () => {
  expect(foldStartStop(new Float64Array(600), 600, 1.5, 30, FINE_STEPS)).toEqual([]);
});

test('significance of noise at a place given beforehand has mean 0 and deviation 1', () => {
  const random = new Random(12);
  const runs = 600;
  let sum = 0;
  let squares = 0;
  for (let run = 0; run < runs; run++) {
    const d = Float64Array.from({ length: 1200 }, () => random.gaussian());
    const z = significance(d, d.length, { stopElements: 1.5, period: 30, start: 607, polarity: 1 });
    sum += z;
    squares += z * z;
  }
  // Four deviations of the estimates themselves.
  expect(Math.abs(sum / runs)).toBeLessThan(4 / Math.sqrt(runs));
  expect(Math.abs(Math.sqrt(squares / runs) - 1)).toBeLessThan(4 / Math.sqrt(2 * runs));
});

import { describe, expect, test } from 'vitest';
import type { Hit } from '../../../decoders/signal/measure.ts';
import { createStretches } from '../../../decoders/signal/stretches.ts';
import type { Acquisition } from '../../../decoders/signal/types.ts';

const PATIENCE_SECONDS = 10;
const GAP_SECONDS = 3;

function hit(startSeconds: number, endSeconds: number, other: Partial<Hit> = {}): Hit {
  return {
    startSeconds,
    endSeconds,
    middleSeconds: (startSeconds + endSeconds) / 2,
    baud: 50,
    stopElements: 1.5,
    markHz: 1300,
    spaceHz: 1470,
    driftHzPerSecond: 0,
    characterPhaseSeconds: startSeconds,
    characterPeriodSeconds: 0.15,
    score: 9,
    merit: 0.7,
    ...other,
  };
}

function settled(hits: readonly Hit[]): Acquisition[] {
  const stretches = createStretches(PATIENCE_SECONDS);
  for (const each of hits) stretches.add(each, each.endSeconds, GAP_SECONDS);
  const found: Acquisition[] = [];
  stretches.settle(Number.POSITIVE_INFINITY, (each) => found.push(each));
  return found;
}

describe('one burst', () => {
  test('seen through many windows is reported once, whole, as the best saw it', () => {
    const found = settled([hit(2, 8), hit(4, 10, { score: 12, baud: 50.1 }), hit(6, 12)]);
    expect(found).toHaveLength(1);
    expect(found[0]).toMatchObject({ startSeconds: 2, endSeconds: 12, baud: 50.1, score: 12 });
  });

  test('that drifts is one, with its tones where they are at its middle', () => {
    const at = (from: number) =>
      hit(from, from + 6, { driftHzPerSecond: 40, markHz: 1300 + 40 * from, spaceHz: 1470 + 40 * from });
    const found = settled([at(0), at(2), at(4)]);
    expect(found).toHaveLength(1);
    // Mark is at 1300 Hz at 3 s; the middle of 0 to 10 s is 5 s.
    expect(found[0].markHz).toBeCloseTo(1380, 6);
    expect(found[0].spaceHz).toBeCloseTo(1550, 6);
  });

  test('with a short pause stays one', () => {
    expect(settled([hit(2, 8), hit(10, 16)])).toMatchObject([{ startSeconds: 2, endSeconds: 16 }]);
  });

  test.each([0, 1])('read in two ways is what the clearer reading says, whichever comes first', (first) => {
    const clear = hit(2, 8, { merit: 0.9 });
    const dim = hit(2, 9, { baud: 75, score: 10, merit: 0.5 });
    expect(settled(first === 0 ? [clear, dim] : [dim, clear])).toMatchObject([{ baud: 50 }]);
  });
});

describe('two bursts', () => {
  test('on other tones at the same time are two, in order of their start', () => {
    const found = settled([hit(3, 9, { markHz: 2100, spaceHz: 2270 }), hit(2, 8)]);
    expect(found.map(({ markHz }) => markHz)).toEqual([1300, 2100]);
  });

  test('with a long pause are two', () => {
    expect(settled([hit(2, 8), hit(11.5, 18)])).toHaveLength(2);
  });

  test('of other speeds after one another are two', () => {
    expect(settled([hit(2, 8), hit(8.5, 14, { baud: 75 })])).toHaveLength(2);
  });
});

test('nothing is reported while more may come, and nothing twice', () => {
  const stretches = createStretches(PATIENCE_SECONDS);
  const found: Acquisition[] = [];
  const settle = (now: number) => stretches.settle(now, (each) => found.push(each));
  stretches.add(hit(2, 8), 9, GAP_SECONDS);
  stretches.add(hit(4, 10), 11, GAP_SECONDS);
  settle(20.9);
  expect(found).toHaveLength(0);
  settle(21);
  expect(found).toHaveLength(1);
  settle(Number.POSITIVE_INFINITY);
  expect(found).toHaveLength(1);
});

describe('a window is covered', () => {
  const stretches = createStretches(PATIENCE_SECONDS);
  stretches.add(hit(0, 10, { driftHzPerSecond: 30 }), 10, GAP_SECONDS);

  test('by what was surely found on its tones, where they have moved to', () => {
    expect(stretches.covers(1, 9, 1300, 1470)).toBe(true);
    // Its middle is 2 s after the hit's.
    expect(stretches.covers(4, 10, 1360, 1530)).toBe(true);
    expect(stretches.covers(4, 10, 1300, 1470)).toBe(false);
  });

  test('not when it goes on beyond, nor on other tones', () => {
    expect(stretches.covers(5, 15, 1450, 1620)).toBe(false);
    expect(stretches.covers(1, 9, 1300, 1640)).toBe(false);
  });

  test('not by what may be better seen yet', () => {
    const weak = createStretches(PATIENCE_SECONDS);
    weak.add(hit(0, 10, { score: 5.5 }), 10, GAP_SECONDS);
    expect(weak.covers(1, 9, 1300, 1470)).toBe(false);
  });
});

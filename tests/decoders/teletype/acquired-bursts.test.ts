import { describe, expect, test } from 'vitest';
import type { Acquisition } from '../../../decoders/signal/types.ts';
import { AcquiredBursts } from '../../../decoders/teletype/acquired-bursts.ts';

function acquisition(startSeconds: number, endSeconds: number, other: Partial<Acquisition> = {}): Acquisition {
  return {
    startSeconds,
    endSeconds,
    baud: 50,
    stopElements: 1.5,
    markHz: 1275,
    spaceHz: 1445,
    driftHzPerSecond: 0,
    characterPhaseSeconds: startSeconds,
    characterPeriodSeconds: 0.15,
    score: 7,
    ...other,
  };
}

const blindAt = (from: number, to: number, other = {}) => acquisition(from, to, { score: 6, ...other });
const knownAt = (from: number, to: number, other = {}) => acquisition(from, to, { knownCharacters: 50, ...other });
const ALL = Number.POSITIVE_INFINITY;

function taken(blind: readonly Acquisition[], known: readonly Acquisition[]): Acquisition[] {
  const bursts = new AcquiredBursts();
  for (const each of blind) bursts.addBlind(each);
  for (const each of known) bursts.addKnown(each);
  return bursts.take(ALL, { blindSeconds: ALL, knownSeconds: ALL });
}

describe('a burst that both searches found', () => {
  test('is read as its sender keys it when it is all of the stretch', () => {
    const known = knownAt(10, 18);
    expect(taken([blindAt(9.6, 18.5, { baud: 49, spaceHz: 1449 })], [known])).toEqual([known]);
  });

  test('even where the blind search took mark for space', () => {
    const known = knownAt(10, 18);
    expect(taken([blindAt(11, 17, { markHz: 1445, spaceHz: 1275 })], [known])).toEqual([known]);
  });

  test('is as the blind search saw it where it drifts, for which what is known is not looked', () => {
    const stretch = blindAt(9.6, 18.5, { driftHzPerSecond: -20 });
    expect(taken([stretch], [knownAt(10, 18)])).toEqual([stretch]);
  });

  test('is as the blind search saw it where what is known alone is no proof', () => {
    const stretch = blindAt(9.6, 18.5);
    expect(taken([stretch], [knownAt(10, 18, { isFaint: true })])).toEqual([stretch]);
  });

  test('is part of the stretch when that holds more', () => {
    const stretch = blindAt(5, 40);
    expect(taken([stretch], [knownAt(10, 18), knownAt(20, 28)])).toEqual([stretch]);
  });
});

describe('different bursts stay apart', () => {
  test.each([
    ['one after the other', blindAt(2, 9), knownAt(9.5, 17)],
    ['on other tones', blindAt(2, 10, { markHz: 2125, spaceHz: 2295 }), knownAt(3, 11)],
    ['in bands that only touch', blindAt(2, 10, { markHz: 1400, spaceHz: 1850 }), knownAt(3, 11)],
  ])('%s', (_, stretch, known) => {
    expect(taken([stretch], [known])).toEqual([stretch, known]);
  });
});

test('of several beacons that fit, the one that fits best', () => {
  const best = knownAt(10.1, 18, { score: 9 });
  expect(taken([], [knownAt(10, 17), best, knownAt(9, 15, { score: 5.5 })])).toEqual([best]);
});

describe('nothing is given out before', () => {
  const held = (take: (bursts: AcquiredBursts) => Acquisition[]) => {
    const bursts = new AcquiredBursts();
    bursts.addBlind(blindAt(10, 18));
    expect(take(bursts)).toEqual([]);
    bursts.addKnown(knownAt(10.5, 18));
    return bursts.take(ALL, { blindSeconds: ALL, knownSeconds: ALL });
  };

  test('it is over', () => {
    expect(held((bursts) => bursts.take(17, { blindSeconds: 30, knownSeconds: 30 }))).toHaveLength(1);
  });

  test('the search for known beacons is past it', () => {
    expect(held((bursts) => bursts.take(30, { blindSeconds: 30, knownSeconds: 17 }))).toHaveLength(1);
  });

  test('the blind search is past it', () => {
    const bursts = new AcquiredBursts();
    bursts.addKnown(knownAt(10, 18));
    expect(bursts.take(40, { blindSeconds: 12, knownSeconds: 40 })).toEqual([]);
    bursts.addBlind(blindAt(9.5, 60));
    expect(bursts.take(40, { blindSeconds: 40, knownSeconds: 40 })).toEqual([]);
    expect(bursts.take(61, { blindSeconds: 61, knownSeconds: 61 })).toMatchObject([{ startSeconds: 9.5 }]);
  });

  test('what is over comes in its order, the rest later', () => {
    const bursts = new AcquiredBursts();
    for (const from of [40, 10, 25]) bursts.addBlind(blindAt(from, from + 8));
    const first = bursts.take(34, { blindSeconds: 60, knownSeconds: 60 });
    expect(first.map(({ startSeconds }) => startSeconds)).toEqual([10, 25]);
    expect(bursts.take(60, { blindSeconds: 60, knownSeconds: 60 })).toHaveLength(1);
  });
});

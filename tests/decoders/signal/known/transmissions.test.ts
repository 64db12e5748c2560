import { describe, expect, test } from 'vitest';
import type { Sighting } from '../../../../decoders/signal/known/search.ts';
import { createTransmissions } from '../../../../decoders/signal/known/transmissions.ts';
import type { ElementPattern, KnownBeacon } from '../../../../decoders/signal/known/types.ts';
import type { Acquisition } from '../../../../decoders/signal/types.ts';

const PATTERN: ElementPattern = { characters: 40, expected: new Float64Array(280) };
const BEACON: KnownBeacon = { baud: 50, stopElements: 1.5, markHz: 1275, spaceHz: 1445, patterns: [PATTERN] };
/** 40 characters of 0.15 s. */
const SECONDS = 6;

/** As a transmission at 1 dB shows. */
function sighting(startSeconds: number, other: Partial<Omit<Sighting, 'likeness'>> = {}, likeness = {}): Sighting {
  const score = other.score ?? 7;
  return {
    startSeconds,
    pattern: 0,
    offsetHz: 12,
    score,
    excess: 0.36,
    ebN0: 1.26,
    literal: 0.25,
    startStop: 0.25,
    likeness: { score, weakerHalf: 4, clarity: 0.39, agreement: 0.55, ...likeness },
    ...other,
  };
}

function found(sightings: readonly Sighting[]): Acquisition[] {
  const transmissions = createTransmissions(BEACON);
  const all: Acquisition[] = [];
  for (const each of sightings) {
    transmissions.add(each);
    transmissions.settle(each.startSeconds, (one) => all.push(one));
  }
  transmissions.settle(Number.POSITIVE_INFINITY, (one) => all.push(one));
  return all;
}

test('a transmission is reported as its sender keys it', () => {
  expect(found([sighting(20)])).toEqual([
    {
      startSeconds: 20,
      endSeconds: 20 + SECONDS,
      baud: 50,
      stopElements: 1.5,
      markHz: 1287,
      spaceHz: 1457,
      driftHzPerSecond: 0,
      characterPhaseSeconds: 20,
      characterPeriodSeconds: 0.15,
      score: 7,
      knownCharacters: 40,
    },
  ]);
});

describe('one transmission', () => {
  test.each([
    ['before it', [sighting(17, { score: 5.5 }), sighting(20)]],
    ['after it', [sighting(20), sighting(23, { score: 5.5 })]],
    ['on both sides', [sighting(17, { score: 5.5 }), sighting(20), sighting(23, { score: 6 })]],
  ])('counts once, at its best place, with echoes %s', (_, sightings) => {
    expect(found(sightings).map(({ startSeconds }) => startSeconds)).toEqual([20]);
  });

  test('is followed by the next', () => {
    expect(found([sighting(20), sighting(20 + SECONDS)])).toHaveLength(2);
  });

  test('is reported as soon as nothing can change it, and is open until then', () => {
    const transmissions = createTransmissions(BEACON);
    const all: Acquisition[] = [];
    transmissions.add(sighting(20));
    expect(transmissions.openSeconds).toBe(20);
    transmissions.settle(20 + 0.7 * SECONDS, (one) => all.push(one));
    expect(all).toEqual([]);
    transmissions.settle(20 + 0.9 * SECONDS, (one) => all.push(one));
    expect(all).toHaveLength(1);
    expect(transmissions.openSeconds).toBe(Number.POSITIVE_INFINITY);
  });
});

describe('no transmission is', () => {
  test.each([
    ['what chance may show', sighting(20, { score: 5 })],
    ['what nobody looked at closely', sighting(20, { likeness: null } as Partial<Sighting>)],
    ['keying without energy in its tones', sighting(20, { excess: 0.08 })],
    ['what half of the pattern does not follow', sighting(20, {}, { weakerHalf: 1.5 })],
    ['clear keying of another kind', sighting(20, { score: 9 }, { clarity: 0.5, agreement: 0.65 })],
    ['very clear keying of another kind', sighting(20, { score: 9 }, { clarity: 0.65, agreement: 0.7 })],
    ['strong tones that hardly follow the pattern', sighting(20, { excess: 0.8 })],
    ['another text, started and stopped alike', sighting(20, { literal: 0.05 })],
    ['two tones that stand', sighting(20, {}, { clarity: 0.1, agreement: 0.5 })],
  ])('%s', (_, each) => {
    expect(found([each])).toEqual([]);
  });

  test('clear keying that agrees is one', () => {
    expect(found([sighting(20, { score: 13 }, { clarity: 0.6, agreement: 0.85 })])).toHaveLength(1);
  });
});

describe('a sighting that alone is no proof', () => {
  const faint = { score: 4.6, excess: 0.14, literal: 0.1, startStop: 0.11 };
  const keying = { weakerHalf: 2.4, clarity: 0.36, agreement: 0.34 };

  test('is worth a look at its phase where the signal is weak', () => {
    expect(found([sighting(20, faint, keying)])).toMatchObject([{ startSeconds: 20, isFaint: true }]);
    expect(found([sighting(20, { ...faint, excess: 0.5 }, keying)])).toEqual([]);
    expect(found([sighting(20, { ...faint, score: 4 }, keying)])).toEqual([]);
  });

  test('gives way to one that is, however strong', () => {
    const weak = sighting(18, { ...faint, excess: 0.29 }, keying);
    const sure = sighting(20, { score: 5.3, excess: 0.2 }, { agreement: 0.5 });
    for (const order of [
      [weak, sure],
      [sure, sighting(21, { ...faint, excess: 0.29 }, keying)],
    ]) {
      expect(found(order).map(({ startSeconds, isFaint }) => [startSeconds, isFaint])).toEqual([[20, undefined]]);
    }
  });
});

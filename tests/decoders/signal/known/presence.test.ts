import { describe, expect, test } from 'vitest';
import { findPresence } from '../../../../decoders/signal/known/presence.ts';
import type { Sighting } from '../../../../decoders/signal/known/search.ts';
import { Random } from '../../../../decoders/simulate/random.ts';

const BAUD = 500 / 11;
const INTERVAL_SECONDS = 60;
const PASS_SECONDS = 600;

function sighting(startSeconds: number, score: number, other: Partial<Sighting> = {}): Sighting {
  return {
    startSeconds,
    score,
    pattern: 0,
    offsetHz: 10,
    likeness: null,
    excess: 0.12,
    ebN0: 0.5,
    literal: 0.15,
    startStop: 0.15,
    ...other,
  };
}

/** What chance shows in a pass: places at random, scores that few exceed. */
function chance(count: number, random: Random): Sighting[] {
  return Array.from({ length: count }, () => {
    const score = 2.2 + 0.35 * -Math.log(1 - random.uniform());
    return sighting(random.uniform(0, PASS_SECONDS), score, { offsetHz: random.uniform(-50, 50) });
  });
}

/** Transmissions at an interval of 60.3 s, a little early or late, of which some are not seen at all. */
function beacon(
  score: number,
  random: Random,
  other: Partial<Sighting> = {},
  missed: readonly number[] = [],
): Sighting[] {
  return Array.from({ length: 10 }, (_, k) => k)
    .filter((k) => !missed.includes(k))
    .map((k) =>
      sighting(12 + 60.3 * k + random.uniform(-0.02, 0.02), score, { offsetHz: 10 + random.uniform(-6, 6), ...other }),
    );
}

function find(sightings: readonly Sighting[]) {
  const sorted = [...sightings].sort((a, b) => a.startSeconds - b.startSeconds);
  return findPresence(sorted, INTERVAL_SECONDS, BAUD, 0, PASS_SECONDS);
}

describe('a beacon among chance', () => {
  test('is made out by its interval, where no transmission stands out', () => {
    for (let seed = 1; seed <= 10; seed++) {
      const random = new Random(seed);
      const presence = find([...chance(200, random), ...beacon(3, random, {}, [3, 7])]);
      expect(presence?.falseAlarmProbability).toBeLessThan(1e-3);
      expect(presence?.transmissions).toBeGreaterThanOrEqual(7);
      expect(presence?.intervalSeconds).toBeCloseTo(60.3, 0);
      expect(Math.abs((presence?.offsetHz ?? 0) - 10)).toBeLessThan(6);
      // 10 log 0.5.
      expect(presence?.ebN0Db).toBeCloseTo(-3.01, 2);
    }
  });

  test('says when it was heard first and last', () => {
    const presence = find([...chance(100, new Random(1)), ...beacon(6, new Random(2), {}, [0, 9])]);
    expect(presence?.firstSeconds).toBeCloseTo(72.3, 0);
    expect(presence?.lastSeconds).toBeCloseTo(12 + 8 * 60.3, 0);
  });
});

describe('no beacon is', () => {
  test('chance alone: what is stated is not exceeded', () => {
    const random = new Random(5);
    const passes = 400;
    const stated = Array.from({ length: passes }, () => find(chance(200, random))?.falseAlarmProbability ?? 1);
    for (const level of [0.3, 0.1, 0.03]) {
      expect(stated.filter((p) => p < level).length).toBeLessThanOrEqual(1.3 * level * passes);
    }
  });

  test.each([
    ['at another interval', (k: number) => 10 + 57 * k, {}],
    ['without an interval', (k: number) => 10 + 57 * k + 5 * Math.sin(2 * k), {}],
    ['at tones that jump about', (k: number) => 10 + 60 * k, { jump: true }],
  ])('what comes %s', (_, startOf, { jump = false }: { jump?: boolean }) => {
    const others = Array.from({ length: 10 }, (_, k) =>
      sighting(startOf(k), 5, { offsetHz: jump ? 25 * ((2 * k) % 5) - 50 : 10 }),
    );
    expect(find([...chance(200, new Random(9)), ...others])?.falseAlarmProbability ?? 1).toBeGreaterThan(1e-3);
  });

  test('one that starts and stops alike but says something else', () => {
    const random = new Random(3);
    const presence = find([...chance(100, random), ...beacon(6, random, { literal: 0.1, startStop: 0.3 })]);
    expect(presence?.falseAlarmProbability ?? 1).toBeGreaterThan(1e-3);
  });

  test('a single transmission, however clear, nor nothing', () => {
    expect(find([sighting(100, 12)])).toBeNull();
    expect(find([])).toBeNull();
  });
});

test('an interval hardly longer than a window is no reason to fail', () => {
  const sightings = Array.from({ length: 200 }, (_, k) => sighting(3 * k, 3));
  const presence = findPresence(sightings, 0.3, BAUD, 0, 600);
  expect(presence === null || presence.falseAlarmProbability <= 1).toBe(true);
});

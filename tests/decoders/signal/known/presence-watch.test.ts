import { describe, expect, test } from 'vitest';
import { createPresenceWatch } from '../../../../decoders/signal/known/presence-watch.ts';
import type { Sighting } from '../../../../decoders/signal/known/search.ts';

const BAUD = 500 / 11;

function sighting(startSeconds: number, score = 6): Sighting {
  const rest = { pattern: 0, offsetHz: 10, likeness: null, excess: 0.2, ebN0: 0.6, literal: 0.2, startStop: 0.2 };
  return { startSeconds, score, ...rest };
}

/** Eight transmissions, a minute from one to the next. */
const beaconFrom = (seconds: number) => Array.from({ length: 8 }, (_, k) => sighting(seconds + 60 * k));

function watched(sightings: readonly Sighting[], endSeconds: number) {
  const watch = createPresenceWatch(60, BAUD);
  for (const each of sightings) watch.add(each);
  return watch.end(endSeconds);
}

describe('a beacon', () => {
  test.each([10, 400, 1900, 20_000])('is found from %d s on', (from) => {
    const presence = watched(beaconFrom(from), from + 600);
    expect(presence).toMatchObject({ transmissions: 8, firstSeconds: from, lastSeconds: from + 420 });
  });

  test('is stated more carefully the longer chance had to bring it about', () => {
    const early = watched(beaconFrom(10), 600);
    const long = watched([...beaconFrom(10), sighting(28_000, 2.3)], 28_800);
    expect(long?.falseAlarmProbability).toBeGreaterThan(10 * (early?.falseAlarmProbability ?? 1));
  });

  test('is not made of what was somebody else’s', () => {
    const watch = createPresenceWatch(60, BAUD);
    for (const each of beaconFrom(10)) {
      watch.add(each);
      watch.exclude(each.startSeconds - 1, each.startSeconds + 10);
    }
    expect(watch.end(600)).toBeNull();
  });
});

test('what chance may well show is no beacon', () => {
  expect(watched(beaconFrom(10).slice(0, 3), 600)).toBeNull();
  expect(watched([], 600)).toBeNull();
});

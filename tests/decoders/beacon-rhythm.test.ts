import { describe, expect, it } from 'vitest';
import { outOfStep } from '../../decoders/beacon-rhythm.ts';
import { Random } from '../../decoders/simulate/random.ts';

interface Pass {
  readonly intervalSeconds: number;
  /** Standard deviation of the moments of transmission. */
  readonly jitterSeconds: number;
  readonly heardShare: number;
  readonly transmissions: number;
}

function pass({ intervalSeconds, jitterSeconds, heardShare, transmissions }: Pass, random: Random): number[] {
  const began = random.uniform() * intervalSeconds;
  return Array.from(
    { length: transmissions },
    (_, i) => began + i * intervalSeconds + jitterSeconds * random.gaussian(),
  )
    .filter(() => random.uniform() < heardShare)
    .sort((a, b) => a - b);
}

/** Share of passes in which a place out of step is seen. */
function share(passes: number, seed: number, times: (random: Random) => readonly number[], stated = 60): number {
  const random = new Random(seed);
  let seen = 0;
  for (let i = 0; i < passes; i++) if (outOfStep(times(random), stated).length > 0) seen++;
  return seen / passes;
}

const usual: Pass = { intervalSeconds: 60, jitterSeconds: 0.3, heardShare: 0.8, transmissions: 12 };

describe('outOfStep', () => {
  it('sees where a recorder left time out of a pass', () => {
    expect(outOfStep([5, 65, 125, 157, 217, 277, 337], 60)).toEqual([2]);
    expect(outOfStep([5, 65, 185, 245, 320, 380], 60)).toEqual([3]);
  });

  it('sees transmissions that come closer than the sender leaves them', () => {
    expect(outOfStep([0, 14, 28, 42, 56], 60)).toEqual([0, 1, 2, 3]);
    expect(outOfStep([0, 14, 74, 134], 60)).toEqual([]);
  });

  it.each<[string, Partial<Pass>]>([
    ['a sender that keeps its interval', {}],
    ['an interval 2 % off', { intervalSeconds: 61.2 }],
    ['a jitter of 1 s', { jitterSeconds: 1 }],
    ['half of them heard', { heardShare: 0.5 }],
    ['a long recording', { transmissions: 120 }],
  ])('raises no false alarm in 1000 passes: %s', (_, more) => {
    expect(share(1000, 1, (random) => pass({ ...usual, ...more }, random))).toBe(0);
  });

  it('raises few where the sender keeps it badly, or not at all', () => {
    expect(share(2000, 5, (random) => pass({ ...usual, jitterSeconds: 2 }, random))).toBeLessThan(0.015);
    const irregular = (random: Random) =>
      Array.from({ length: 12 }, () => random.uniform() * 720)
        .sort((a, b) => a - b)
        .filter((time, i, all) => i === 0 || time - all[i - 1] > 45);
    expect(share(2000, 2, irregular)).toBeLessThan(0.01);
    const loose = (random: Random) => pass({ ...usual, jitterSeconds: 4 }, random);
    expect(share(2000, 3, loose)).toBeLessThan(0.03);
  });

  it('sees most pauses of a recorder, of any length, in passes in which enough is heard', () => {
    const skipped = (random: Random) => {
      const cut = 240 + 240 * random.uniform();
      const missing = 300 * random.uniform();
      return pass({ ...usual, transmissions: 16 }, random)
        .filter((time) => time < cut || time > cut + missing)
        .map((time) => (time < cut ? time : time - missing));
    };
    expect(share(1000, 4, skipped)).toBeGreaterThan(0.6);
  });
});

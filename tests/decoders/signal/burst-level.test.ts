import { describe, expect, test } from 'vitest';
import { bounded, ebN0Db, estimateLevel, markOverSpace, presence } from '../../../decoders/signal/burst-level.ts';
import { Random } from '../../../decoders/simulate/random.ts';
import fsk from '../../reference/fsk-ber.json' with { type: 'json' };

/** Magnitudes of both tones' correlations for random elements. */
function elements(count: number, markLevel: number, spaceLevel: number, noisePower: number, seed: number) {
  const random = new Random(seed);
  const sigma = Math.sqrt(noisePower / 2);
  const magnitude = (level: number) => Math.hypot(level + sigma * random.gaussian(), sigma * random.gaussian());
  const sent = Array.from({ length: count }, () => random.uniform() < 0.5);
  return {
    sent,
    mark: Float64Array.from(sent, (isMark) => magnitude(isMark ? markLevel : 0)),
    space: Float64Array.from(sent, (isMark) => magnitude(isMark ? 0 : spaceLevel)),
  };
}

describe('estimateLevel', () => {
  test.each([4, 6, 10])('finds unequal tones and the noise at about %d dB without knowing the elements', (db) => {
    const noisePower = 2;
    const markLevel = Math.sqrt(10 ** (db / 10) * noisePower);
    const spaceLevel = 0.7 * markLevel;
    const { mark, space } = elements(4000, markLevel, spaceLevel, noisePower, 11);
    let level = bounded(markLevel * 1.2, markLevel, noisePower * 1.5);
    const probability = new Float64Array(mark.length);
    for (let round = 0; round < 20; round++) {
      for (let i = 0; i < mark.length; i++) {
        const llr =
          presence(mark[i], level.markLevel, level.noisePower) - presence(space[i], level.spaceLevel, level.noisePower);
        probability[i] = 1 / (1 + Math.exp(-llr));
      }
      level = estimateLevel(mark, space, probability, mark.length);
    }
    expect(level.markLevel / markLevel).toBeCloseTo(1, 1);
    expect(level.spaceLevel / spaceLevel).toBeCloseTo(1, 1);
    expect(level.noisePower / noisePower).toBeCloseTo(1, 1);
  });

  test('silence gives no division by zero', () => {
    const level = estimateLevel(new Float64Array(7), new Float64Array(7), new Float64Array(7), 7);
    expect(Number.isFinite(ebN0Db(level))).toBe(true);
  });
});

// 0.5 exp(-Eb/2N0): Proakis, Digital Communications, noncoherent orthogonal FSK; tests/reference/fsk-ber.json.
test.each([4, 6, 8])('deciding by the presence of either tone errs as theory says at %d dB', (db) => {
  const row = fsk.awgn.find((each) => each.ebn0_db === db);
  if (!row) throw new Error(`no reference at ${db} dB`);
  const level = Math.sqrt(10 ** (db / 10));
  const { sent, mark, space } = elements(200_000, level, level, 1, 5);
  let wrong = 0;
  sent.forEach((isMark, i) => {
    if (presence(mark[i], level, 1) > presence(space[i], level, 1) !== isMark) wrong++;
  });
  expect(Math.abs(wrong / sent.length / row.noncoherent - 1)).toBeLessThan(0.05);
});

describe('markOverSpace', () => {
  test.each([14, 20])('what noise does in a hole of a burst at %d dB tells nothing', (db) => {
    const noisePower = 1;
    const level = Math.sqrt(10 ** (db / 10));
    const { mark, space } = elements(4000, 0, 0, noisePower, 5);
    const told = Array.from(mark, (each, i) =>
      Math.abs(markOverSpace(each, space[i], { markLevel: level, spaceLevel: level, noisePower })),
    );
    expect(told.filter((llr) => llr > 7).length).toBeLessThan(20);
  });

  test('what a burst says where it is heard stays as it was', () => {
    const level = { markLevel: Math.sqrt(10 ** 0.8), spaceLevel: Math.sqrt(10 ** 0.8), noisePower: 1 };
    const { mark, space } = elements(4000, level.markLevel, level.spaceLevel, 1, 6);
    mark.forEach((each, i) => {
      const plain = presence(each, level.markLevel, 1) - presence(space[i], level.spaceLevel, 1);
      expect(Math.abs(markOverSpace(each, space[i], level) - plain)).toBeLessThan(1.5);
    });
  });
});

import { describe, expect, test } from 'vitest';
import { agreementNats, likelyPlaces } from '../../../../decoders/frames/copies/align.ts';
import { Random } from '../../../../decoders/simulate/random.ts';
import type { SoftCharacters } from '../../../../decoders/teletype/types.ts';
import { certain, heard, sliceSlots } from '../../support/soft.ts';

const codesOf = (count: number, random: Random) => Array.from({ length: count }, () => random.integer(32));
const later = (soft: SoftCharacters, seconds: number): SoftCharacters => ({
  ...soft,
  startSeconds: soft.startSeconds.map((start) => start + seconds),
});
const whole = (soft: SoftCharacters) => ({ soft, fromSlot: 0, toSlot: soft.count });

describe('likelyPlaces', () => {
  test.each([2, 5, 12])('finds how far another recording began apart, whatever it missed, %d dB', (ebN0Db) => {
    for (let seed = 0; seed < 10; seed++) {
      const random = new Random(seed);
      const codes = codesOf(60, random);
      const a = heard(codes, ebN0Db, random);
      const missed = random.integer(20);
      const b = sliceSlots(heard(codes, ebN0Db, random), missed, 60 - random.integer(10));
      const [shift] = likelyPlaces(whole(a), whole(later(b, 40.7))).shiftsSeconds;
      expect(shift).toBeCloseTo(-40.7, 6);
    }
  });

  test('has nowhere to put a copy that shares nothing', () => {
    const one = whole(certain([1]));
    expect(likelyPlaces(whole(certain([])), one)).toEqual({ shiftsSeconds: [], tried: 0 });
  });
});

describe('agreementNats', () => {
  test('is the log-odds that the same elements lie under both: by Bayes over all 32 codes of a slot', () => {
    const random = new Random(5);
    const llr = () => Float32Array.from({ length: 7 }, () => random.uniform(-6, 6));
    const a = llr();
    const b = llr();
    const likelihood = (of: Float32Array, code: number) => {
      let product = 1;
      for (let bit = 0; bit < 5; bit++) product /= 1 + Math.exp((code >> bit) & 1 ? -of[1 + bit] : of[1 + bit]);
      return product;
    };
    let same = 0;
    for (let code = 0; code < 32; code++) same += likelihood(a, code) * likelihood(b, code);
    expect(agreementNats(a, b)).toBeCloseTo(Math.log(32 * same), 4);
  });

  test('is nothing where one says nothing', () => {
    expect(agreementNats(Float32Array.from([0, 9, -9, 9, -9, 9, 0]), new Float32Array(7))).toBe(0);
  });
});

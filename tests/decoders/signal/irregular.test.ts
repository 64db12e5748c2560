import { describe, expect, test } from 'vitest';
import { PER_ELEMENT } from '../../../decoders/signal/fold.ts';
import { readIrregular } from '../../../decoders/signal/irregular.ts';
import { Random } from '../../../decoders/simulate/random.ts';
import { elementsOf } from '../support/soft.ts';

/** Keying values of codes with random rests, as a correlator one element long gives them. */
function keyingOf(codes: readonly number[], mostGapElements: number, random: Random, noise = 0): Float64Array {
  const keyed: number[] = new Array<number>(4 * PER_ELEMENT).fill(1);
  for (const code of codes) {
    for (const mark of elementsOf(code)) keyed.push(...new Array<number>(PER_ELEMENT).fill(mark === 1 ? 1 : -1));
    keyed.push(...new Array<number>(random.integer(mostGapElements * PER_ELEMENT + 1)).fill(1));
  }
  keyed.push(...new Array<number>(10 * PER_ELEMENT).fill(1));
  return Float64Array.from({ length: keyed.length - PER_ELEMENT }, (_, n) => {
    const mean = keyed.slice(n, n + PER_ELEMENT).reduce((sum, each) => sum + each, 0) / PER_ELEMENT;
    return Math.max(-1, Math.min(1, mean + noise * random.gaussian()));
  });
}

const codesOf = (count: number, random: Random) => Array.from({ length: count }, () => random.integer(32));

describe('readIrregular', () => {
  test.each([0, 1, 3])('reads characters with rests of up to %d elements, in their polarity only', (gap) => {
    const random = new Random(gap + 1);
    const d = keyingOf(codesOf(30, random), gap, random);
    expect(readIrregular(d, d.length, 1)).toMatchObject({ characters: 30 });
    expect(
      readIrregular(
        d.map((value) => -value),
        d.length,
        -1,
      ),
    ).toMatchObject({ characters: 30 });
  });

  test('bears some noise', () => {
    const random = new Random(9);
    const d = keyingOf(codesOf(30, random), 2, random, 0.15);
    expect(readIrregular(d, d.length, 1)?.characters).toBeGreaterThanOrEqual(29);
  });

  test('does not take random keying for characters', () => {
    for (let seed = 0; seed < 200; seed++) {
      const random = new Random(seed);
      const keyed = Array.from({ length: 240 }, () => (random.uniform() < 0.5 ? 1 : -1));
      const d = Float64Array.from({ length: 239 * PER_ELEMENT }, (_, n) => {
        const element = Math.floor(n / PER_ELEMENT);
        const into = (n % PER_ELEMENT) / PER_ELEMENT;
        return (1 - into) * keyed[element] + into * keyed[element + 1];
      });
      expect(readIrregular(d, d.length, 1)).toBeNull();
      expect(readIrregular(d, d.length, -1)).toBeNull();
    }
  });

  test('nor noise, nor the same character over and over', () => {
    const random = new Random(4);
    const noise = Float64Array.from({ length: 1500 }, () => Math.max(-1, Math.min(1, 0.5 * random.gaussian())));
    expect(readIrregular(noise, noise.length, 1)).toBeNull();
    const same = keyingOf(new Array<number>(30).fill(10), 2, random);
    expect(readIrregular(same, same.length, 1)).toBeNull();
  });
});

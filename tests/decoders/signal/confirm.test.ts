import { describe, expect, test } from 'vitest';
import { ELEMENTS, keyedRange, lookAt, looksLikeText, readElements } from '../../../decoders/signal/confirm.ts';
import type { Fold } from '../../../decoders/signal/fold.ts';
import { PER_ELEMENT } from '../../../decoders/signal/fold.ts';
import { Random } from '../../../decoders/simulate/random.ts';
import { encode } from '../../../decoders/teletype/alphabets.ts';
import { clockedKeying, randomCodes } from '../support/keying.ts';
import { elementsOf } from '../support/soft.ts';

const TEXT = 'Q0DUN P 00042 7921 -0130 412 388 11 NOM BATT 7.92 TEMP -13';
const codesOf = (text: string) => encode(text, 'ita2', { startShift: 'unknown' });

const foldOf = (stopElements: Fold['stopElements'], start = 0, polarity: Fold['polarity'] = 1): Fold => ({
  stopElements,
  period: (6 + stopElements) * PER_ELEMENT,
  start,
  polarity,
});

function look(d: Float64Array, fold: Fold) {
  const elements = readElements(d, d.length, fold);
  return lookAt(elements, ...keyedRange(elements));
}

describe.each([1, 1.42, 1.5, 2] as const)('stop of %d elements', (stop) => {
  test('elements are read in their order and polarity, from wherever the fold is anchored', () => {
    const codes = codesOf(TEXT);
    const d = clockedKeying(codes, stop);
    const sent = codes.flatMap(elementsOf).map((mark) => mark === 1);
    const { period } = foldOf(stop);
    for (const polarity of [1, -1] as const) {
      const keyed = d.map((value) => polarity * value);
      const { characters, values } = readElements(keyed, keyed.length, foldOf(stop, 17 * period, polarity));
      expect(values).toHaveLength(ELEMENTS * characters);
      // The last may want the values beyond its stop element.
      expect(characters).toBeGreaterThanOrEqual(codes.length - 1);
      expect([...values].map((value) => value > 0)).toEqual(sent.slice(0, values.length));
    }
  });

  test('text looks like text, clear and in noise', () => {
    for (const sigma of [0, 0.2, 0.4]) {
      const random = new Random(2);
      const d = clockedKeying(codesOf(TEXT), stop, { sigma, random });
      expect(looksLikeText(look(d, foldOf(stop)))).toBe(true);
    }
  });
});

test('what senders repeat is text too', () => {
  for (const text of ['RY'.repeat(24), '0'.repeat(50), 'R'.repeat(50)]) {
    expect(looksLikeText(look(clockedKeying(codesOf(text), 1.5), foldOf(1.5)))).toBe(true);
  }
});

test('perfect framing reaches the z it can reach, and no more', () => {
  const codes = codesOf(TEXT);
  const d = clockedKeying([...codes, 0], 1.5);
  const elements = readElements(d, d.length, foldOf(1.5));
  const { z, clarity, openness, framing, dataRatio } = lookAt(elements, 0, codes.length);
  expect(z).toBeCloseTo(Math.sqrt(2 * codes.length), 6);
  expect([clarity, openness, framing / 2, dataRatio]).toEqual([1, 1, 1, 1].map((one) => expect.closeTo(one, 9)));
});

test('the keyed part of a stretch is found between noise', () => {
  for (let seed = 0; seed < 20; seed++) {
    const random = new Random(seed);
    const keyed = clockedKeying(randomCodes(30, random), 1.5, { sigma: 0.25, random });
    const noise = () =>
      Float64Array.from({ length: 10 * 30 }, () => Math.max(-1, Math.min(1, 0.4 * random.gaussian())));
    const d = Float64Array.from([...noise(), ...keyed, ...noise()]);
    const [from, to] = keyedRange(readElements(d, d.length, foldOf(1.5)));
    expect(Math.abs(from - 10)).toBeLessThanOrEqual(3);
    expect(Math.abs(to - 40)).toBeLessThanOrEqual(3);
  }
});

describe('is not taken for text:', () => {
  test('noise, at the best of all places', () => {
    for (let seed = 0; seed < 60; seed++) {
      const random = new Random(seed);
      const raw = Float64Array.from({ length: 1504 }, () => random.gaussian());
      // Values overlap as those of a correlator do.
      const d = Float64Array.from({ length: 1500 }, (_, n) =>
        Math.max(-1, Math.min(1, (raw[n] + raw[n + 1] + raw[n + 2] + raw[n + 3]) / 4)),
      );
      for (let start = 0; start < 30; start += 2) expect(looksLikeText(look(d, foldOf(1.5, start)))).toBe(false);
    }
  });

  test('random keying without start and stop', () => {
    for (let seed = 0; seed < 60; seed++) {
      const random = new Random(seed);
      const bits = Array.from({ length: 400 }, () => (random.uniform() < 0.5 ? 1 : -1));
      const d = Float64Array.from({ length: 1596 }, (_, n) => {
        const into = (n % 4) / 4;
        return (1 - into) * bits[Math.floor(n / 4)] + into * bits[Math.floor(n / 4) + 1];
      });
      for (let start = 0; start < 28; start += 2) expect(looksLikeText(look(d, foldOf(1, start)))).toBe(false);
    }
  });

  test('clear keying in which stops are missing now and then', () => {
    const d = clockedKeying(codesOf(TEXT), 1.5);
    const elements = readElements(d, d.length, foldOf(1.5));
    const { characters } = elements;
    const values = elements.values.slice();
    for (let c = 0; c < characters; c += 4) values[c * ELEMENTS + 6] = -1;
    expect(looksLikeText(lookAt(elements, 0, characters))).toBe(true);
    expect(looksLikeText(lookAt({ characters, values }, 0, characters))).toBe(false);
  });

  test('one character over and over that no sender repeats', () => {
    for (const code of [1, 2, 8, 13, 16, 19]) {
      const d = clockedKeying(new Array<number>(50).fill(code), 1.5);
      expect(looksLikeText(look(d, foldOf(1.5)))).toBe(false);
    }
  });

  test('a phrase that comes again and again', () => {
    const d = clockedKeying(
      Array.from({ length: 50 }, (_, i) => [3, 14, 25, 17][i % 4]),
      1.5,
    );
    expect(looksLikeText(look(d, foldOf(1.5)))).toBe(false);
  });

  test('too few characters', () => {
    const d = clockedKeying(codesOf('Q0DUN TEST').slice(0, 10), 1.5);
    expect(looksLikeText(look(d, foldOf(1.5)))).toBe(false);
  });

  test('nothing at all', () => {
    expect(looksLikeText(look(new Float64Array(1500), foldOf(1.5)))).toBe(false);
    expect(looksLikeText(look(new Float64Array(10), foldOf(1.5)))).toBe(false);
  });
});

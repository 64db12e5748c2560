import { describe, expect, test } from 'vitest';
import { otherTransmissionOdds, type ReadCharacter } from '../../../../decoders/frames/copies/other-transmission.ts';
import { SlotScores } from '../../../../decoders/frames/slot-scores.ts';
import { Random } from '../../../../decoders/simulate/random.ts';
import { encode } from '../../../../decoders/teletype/alphabets.ts';
import { heard } from '../../support/soft.ts';

const TEXT = 'QWERTYUIOPASDFGH';
const codes = encode(TEXT, 'ita2', { startShift: 'letters' });
const slots = codes.map((_, i) => i);
const read = (checks: number): ReadCharacter[] =>
  [...TEXT].map((text, i) => ({ text, part: i < TEXT.length - checks ? 'content' : 'check' }));
const odds = (sent: string, ebN0Db: number, seed: number, checks = 0) => {
  const soft = heard(encode(sent, 'ita2', { startShift: 'letters' }), ebN0Db, new Random(seed));
  return otherTransmissionOdds(read(checks), slots, new SlotScores(soft), 'ita2');
};

describe('otherTransmissionOdds', () => {
  test('a clear copy of the text is no other; one with another letter is', () => {
    expect(odds(TEXT, 14, 1)).toBeLessThan(1e-4);
    expect(odds(TEXT.replace('T', 'B'), 14, 1)).toBeGreaterThan(1e6);
  });

  test('a copy that says nothing leaves the odds that some character differs', () => {
    const nothing = new SlotScores({
      count: TEXT.length,
      startSeconds: new Float64Array(TEXT.length),
      elementLlr: new Float32Array(7 * TEXT.length),
    });
    expect(otherTransmissionOdds(read(0), slots, nothing, 'ita2')).toBeCloseTo(1 - 0.9 ** TEXT.length, 6);
    expect(
      otherTransmissionOdds(
        read(0),
        slots.map(() => -1),
        nothing,
        'ita2',
      ),
    ).toBe(0);
  });

  test('checks that agree count against another text', () => {
    expect(odds(TEXT, 8, 3, 4)).toBeLessThan(odds(TEXT, 8, 3));
  });

  test('are a likelihood ratio: for copies that do belong, their mean is the odds before', () => {
    // The mean of a likelihood ratio under its own denominator is one; it is heavy-tailed, hence a weak copy.
    const count = 4000;
    let sum = 0;
    for (let seed = 0; seed < count; seed++) sum += odds(TEXT, -3, seed);
    const before = 1 - 0.9 ** TEXT.length;
    expect(sum / count).toBeGreaterThan(0.85 * before);
    expect(sum / count).toBeLessThan(1.15 * before);
  });
});

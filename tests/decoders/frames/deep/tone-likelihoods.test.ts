import { expect, test } from 'vitest';
import { ElementSums } from '../../../../decoders/frames/deep/element-sums.ts';
import { type Hold, toneLikelihoods } from '../../../../decoders/frames/deep/tone-likelihoods.ts';
import { Random } from '../../../../decoders/simulate/random.ts';
import { CODE_COUNT, ELEMENTS_PER_SLOT } from '../../../../decoders/teletype/soft-characters.ts';

/** A character's elements at a level of `strength`, each at the phase that `phaseOf` gives it. */
function sumsOf(code: number, strength: number, phaseOf: (element: number) => number): ElementSums {
  const sums = new ElementSums(1);
  for (let element = 0; element < ELEMENTS_PER_SLOT; element++) {
    const isMark = element === ELEMENTS_PER_SLOT - 1 || (element > 0 && ((code >> (element - 1)) & 1) === 1);
    const [re, im] = isMark ? [sums.markRe, sums.markIm] : [sums.spaceRe, sums.spaceIm];
    re[element] = strength * Math.cos(phaseOf(element));
    im[element] = strength * Math.sin(phaseOf(element));
  }
  return sums;
}

const explained = (sums: ElementSums, hold: Hold, turns = 0) => toneLikelihoods(sums, turns, hold).random[0];

test('a phase that lasts as long as the tone explains more than one a element, a new one in every element less', () => {
  const random = new Random(3);
  // 00111: three marks, then two spaces.
  const steady = sumsOf(0b00111, 6, () => 1);
  const jumping = sumsOf(0b00111, 6, () => random.uniform(0, 2 * Math.PI));
  expect(explained(steady, 'tone')).toBeGreaterThan(explained(steady, 'element') + 2);
  expect(explained(jumping, 'tone')).toBeLessThan(explained(jumping, 'element'));
});

test('the turn that spaces make against the mark tone is taken out of a run of them', () => {
  const turns = 0.26;
  const spaces = sumsOf(0, 6, (element) => 2 * Math.PI * turns * element);
  expect(explained(spaces, 'tone', turns)).toBeGreaterThan(explained(spaces, 'tone') + 5);
});

test('the code that was sent is the likeliest, and random keying has the mean likelihood of all codes', () => {
  for (const hold of ['tone', 'element'] as const) {
    const { logLikelihoods } = toneLikelihoods(
      sumsOf(0b10110, 6, () => 0),
      0,
      hold,
    );
    expect(logLikelihoods.indexOf(Math.max(...logLikelihoods))).toBe(0b10110);
    expect(logLikelihoods.reduce((sum, each) => sum + Math.exp(each), 0) / CODE_COUNT).toBeCloseTo(1, 9);
  }
});

import { describe, expect, test } from 'vitest';
import { ElementSums } from '../../../../decoders/frames/deep/element-sums.ts';
import { oscillatorLikelihoods } from '../../../../decoders/frames/deep/oscillator-likelihoods.ts';
import { oscillatorOffsets } from '../../../../decoders/frames/deep/oscillator-offsets.ts';
import { toneLikelihoods } from '../../../../decoders/frames/deep/tone-likelihoods.ts';
import { Random } from '../../../../decoders/simulate/random.ts';
import { CODE_COUNT, ELEMENTS_PER_SLOT } from '../../../../decoders/teletype/soft-characters.ts';

const SLOTS = 60;
const CHARACTER_SECONDS = 0.165;
const STRENGTH = 2 * 10 ** 0.5;

interface Sent {
  readonly sums: ElementSums;
  readonly codes: readonly number[];
}

/** Random codes at 5 dB, the phase of either tone given by slot and element. */
function send(seed: number, phaseOf: (isMark: boolean, slot: number, element: number) => number): Sent {
  const random = new Random(seed);
  const sums = new ElementSums(SLOTS);
  const noise = () => Math.sqrt(STRENGTH) * random.gaussian();
  const codes = Array.from({ length: SLOTS }, () => random.integer(CODE_COUNT));
  codes.forEach((code, slot) => {
    for (let element = 0; element < ELEMENTS_PER_SLOT; element++) {
      const at = slot * ELEMENTS_PER_SLOT + element;
      const isMark = element === ELEMENTS_PER_SLOT - 1 || (element > 0 && ((code >> (element - 1)) & 1) === 1);
      const phase = phaseOf(isMark, slot, element);
      for (const [tone, re, im] of [
        [true, sums.markRe, sums.markIm],
        [false, sums.spaceRe, sums.spaceIm],
      ] as const) {
        re[at] = noise() + (tone === isMark ? STRENGTH * Math.cos(phase) : 0);
        im[at] = noise() + (tone === isMark ? STRENGTH * Math.sin(phase) : 0);
      }
    }
  });
  sums.markBias = -STRENGTH / 2;
  sums.spaceBias = -STRENGTH / 2;
  sums.stopBias = -STRENGTH / 2;
  return { sums, codes };
}

const steady = (isMark: boolean) => (isMark ? 0.7 : -2);
const wrongCodes = ({ logLikelihoods }: { logLikelihoods: Float64Array }, codes: readonly number[]) =>
  codes.filter((code, slot) => {
    const row = logLikelihoods.subarray(slot * CODE_COUNT, (slot + 1) * CODE_COUNT);
    return row.indexOf(row.reduce((a, b) => Math.max(a, b))) !== code;
  }).length;
const explained = ({ random }: { random: Float64Array }) => random.reduce((sum, each) => sum + each, 0);

describe('two oscillators that run on', () => {
  test('are read with half the errors of what knows no phase beyond the tone', () => {
    let byTone = 0;
    let byOscillators = 0;
    for (let seed = 1; seed <= 10; seed++) {
      const { sums, codes } = send(seed, steady);
      const first = toneLikelihoods(sums, 0, 'tone');
      const weighed = oscillatorLikelihoods(sums, first);
      expect(explained(weighed)).toBeGreaterThan(explained(first) + 50);
      byTone += wrongCodes(first, codes);
      byOscillators += wrongCodes(weighed, codes);
    }
    expect(byTone).toBeGreaterThan(20);
    expect(byOscillators).toBeLessThan(0.6 * byTone);
  });

  test('are not seen in a sender whose phase is a new one in every element', () => {
    const random = new Random(7);
    const { sums } = send(3, () => random.uniform(0, 2 * Math.PI));
    const first = toneLikelihoods(sums, 0, 'element');
    expect(explained(oscillatorLikelihoods(sums, first))).toBeLessThan(explained(first));
  });

  test('random keying has the mean likelihood of all codes', () => {
    const { sums } = send(1, steady);
    const { logLikelihoods } = oscillatorLikelihoods(sums, toneLikelihoods(sums, 0, 'tone'));
    for (let slot = 0; slot < SLOTS; slot++) {
      let mean = 0;
      for (let code = 0; code < CODE_COUNT; code++)
        mean += Math.exp(logLikelihoods[slot * CODE_COUNT + code]) / CODE_COUNT;
      expect(mean).toBeCloseTo(1, 9);
    }
  });
});

test.each([
  [0, 0, 0],
  [0.7, -0.9, 0.2],
  [-1, 0.4, -0.35],
  [2.6, -2.3, 0.75],
])('tones off by %d and %d Hz that drift by %d Hz/s are found', (markHz, spaceHz, driftHzPerSecond) => {
  const { sums } = send(5, (isMark, slot) => {
    const seconds = (slot - SLOTS / 2) * CHARACTER_SECONDS;
    return 2 * Math.PI * ((isMark ? markHz : spaceHz) + 0.5 * driftHzPerSecond * seconds) * seconds + 1;
  });
  const found = oscillatorOffsets(sums, toneLikelihoods(sums, 0, 'element'), CHARACTER_SECONDS);
  expect(Math.abs(found.markHz - markHz)).toBeLessThan(0.06);
  expect(Math.abs(found.spaceHz - spaceHz)).toBeLessThan(0.06);
  expect(Math.abs(found.driftHzPerSecond - driftHzPerSecond)).toBeLessThan(0.03);
});

import { expect, test } from 'vitest';
import {
  coherentElements,
  elementsWithoutPhase,
  sumsOfCoherent,
} from '../../../../decoders/frames/deep/coherent-elements.ts';
import { findHeldPhase } from '../../../../decoders/frames/deep/held-phase.ts';
import { heard, LAYOUT, TEXT } from './heard.ts';

test('what is kept of a held phase gives back its sums, and each element by itself', () => {
  const signal = heard(TEXT, 'continuous', 2, 12);
  const held = findHeldPhase(signal, LAYOUT, 0);
  if (!held) throw new Error('no phase holds');
  const kept = coherentElements(held);
  const sums = sumsOfCoherent(kept);
  const { surface, hypothesis, model } = held;
  surface.at(hypothesis, model);
  for (const part of ['markRe', 'markIm', 'spaceRe', 'spaceIm', 'random'] as const) {
    const worst = surface.sums[part].reduce((most, each, i) => Math.max(most, Math.abs(each - sums[part][i])), 0);
    expect(worst).toBeLessThan(1e-4);
  }
  const llr = new Float32Array(7);
  for (const slot of [1, 20, 50]) {
    elementsWithoutPhase(kept, slot, llr, 0);
    const own = signal.soft.elementLlr.subarray(7 * slot, 7 * slot + 7);
    expect([...llr].map(Math.sign)).toEqual([...own].map(Math.sign));
    for (let i = 1; i < 6; i++) expect(Math.abs(llr[i] / own[i] - 1)).toBeLessThan(0.5);
  }
});

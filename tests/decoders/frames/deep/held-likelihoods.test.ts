import { expect, test } from 'vitest';
import { heldLikelihoods } from '../../../../decoders/frames/deep/held-likelihoods.ts';
import { findHeldPhase } from '../../../../decoders/frames/deep/held-phase.ts';
import { encode } from '../../../../decoders/teletype/alphabets.ts';
import { CODE_COUNT } from '../../../../decoders/teletype/soft-characters.ts';
import { heard, LAYOUT, TEXT } from './heard.ts';

const CODES = Array.from(encode(TEXT, 'ita2', { startShift: 'unknown' }));
const WEAK_DB = 4;

/** Codes whose elements are all right, when the text begins in a slot. */
function rightByElements(elementLlr: Float32Array, fromSlot: number): number {
  return CODES.filter((code, i) =>
    [0, 1, 2, 3, 4].every((bit) => elementLlr[(fromSlot + i) * 7 + 1 + bit] > 0 === (((code >> bit) & 1) === 1)),
  ).length;
}

test('through a phase that holds, at most half as many codes are misread as by their elements', () => {
  let byPhase = 0;
  let byElements = 0;
  let codes = 0;
  for (const seed of [1, 2, 3, 4, 5]) {
    const signal = heard(TEXT, 'continuous', seed, WEAK_DB);
    const { elementLlr } = signal.soft;
    const right = [0, 1, 2, 3].map((fromSlot) => rightByElements(elementLlr, fromSlot));
    const fromSlot = right.indexOf(Math.max(...right));
    const held = findHeldPhase(signal, LAYOUT, fromSlot);
    if (!held) continue;
    const { logLikelihoods } = heldLikelihoods(held);
    byPhase += CODES.filter((code, slot) => {
      const row = logLikelihoods.subarray(slot * CODE_COUNT, (slot + 1) * CODE_COUNT);
      return row.indexOf(row.reduce((a, b) => Math.max(a, b))) === code;
    }).length;
    byElements += right[fromSlot];
    codes += CODES.length;
  }
  expect(codes).toBeGreaterThan(2 * CODES.length);
  expect(byElements / codes).toBeLessThan(0.75);
  expect(codes - byPhase).toBeLessThan(0.5 * (codes - byElements));
});

test('random keying has the mean likelihood of all codes', () => {
  const held = findHeldPhase(heard(TEXT, 'continuous', 3, 8), LAYOUT, 0);
  if (!held) throw new Error('no phase');
  const { logLikelihoods, count } = heldLikelihoods(held);
  for (let slot = 0; slot < count; slot++) {
    let sum = 0;
    for (let code = 0; code < CODE_COUNT; code++) sum += Math.exp(logLikelihoods[slot * CODE_COUNT + code]);
    expect(sum / CODE_COUNT).toBeCloseTo(1, 9);
  }
});

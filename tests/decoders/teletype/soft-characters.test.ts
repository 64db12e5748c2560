import { expect, test } from 'vitest';
import { boundLlr, CODE_COUNT, codeLogPosteriors } from '../../../decoders/teletype/soft-characters.ts';
import { certain, sliceSlots } from '../support/soft.ts';

test('code probabilities sum to one and follow the elements', () => {
  const soft = certain([10]);
  soft.elementLlr.set([-3, 0.5, -2, 1, -0.25, 4, 3]);
  const out = new Float64Array(CODE_COUNT);
  codeLogPosteriors(soft, 0, out);
  const probabilities = out.map(Math.exp);
  expect(probabilities.reduce((a, b) => a + b)).toBeCloseTo(1, 10);
  // Mark of the first data element against space, all else equal: its own log-likelihood ratio.
  expect(out[1] - out[0]).toBeCloseTo(0.5, 6);
  expect(out[16] - out[0]).toBeCloseTo(4, 4);
  expect(probabilities.indexOf(Math.max(...probabilities))).toBe(0b10101);
});

test('no element is believed beyond the chance of a click', () => {
  expect(boundLlr(1e6)).toBeCloseTo(-Math.log(1e-7), 6);
  expect(boundLlr(-1e6)).toBeCloseTo(Math.log(1e-7), 6);
  expect(boundLlr(2)).toBeCloseTo(2, 4);
  const soft = certain([31]);
  soft.elementLlr.fill(400);
  const out = new Float64Array(CODE_COUNT);
  codeLogPosteriors(soft, 0, out);
  expect(out[31] - out[30]).toBeCloseTo(-Math.log(1e-7), 6);
});

test('slices keep times and elements together', () => {
  const part = sliceSlots(certain([1, 2, 3, 4]), 1, 3);
  expect(part.count).toBe(2);
  expect(part.startSeconds[0]).toBeCloseTo(0.165);
  expect(part.elementLlr).toEqual(certain([2, 3]).elementLlr);
});

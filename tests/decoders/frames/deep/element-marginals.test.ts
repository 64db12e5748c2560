import { expect, test } from 'vitest';
import { withMarginals } from '../../../../decoders/frames/deep/element-marginals.ts';
import { CODE_COUNT, ELEMENTS_PER_SLOT } from '../../../../decoders/teletype/soft-characters.ts';

const soft = { count: 1, startSeconds: Float64Array.of(0), elementLlr: Float32Array.of(-9, 1, 1, 1, 1, 1, 8) };

test('codes whose elements are independent give their elements back', () => {
  const llr = [2, -1, 0.5, -3, 4];
  const logLikelihoods = Float64Array.from({ length: CODE_COUNT }, (_, code) =>
    llr.reduce((sum, each, bit) => sum + (((code >> bit) & 1) === 1 ? each : 0), 0),
  );
  const { elementLlr } = withMarginals(soft, { logLikelihoods });
  llr.forEach((each, bit) => {
    expect(elementLlr[1 + bit]).toBeCloseTo(each, 5);
  });
});

test('start and stop stay as measured, the given characters too', () => {
  const { elementLlr } = withMarginals(soft, { logLikelihoods: new Float64Array(CODE_COUNT) });
  expect([elementLlr[0], elementLlr[ELEMENTS_PER_SLOT - 1]]).toEqual([-9, 8]);
  expect(Array.from(elementLlr.subarray(1, 6))).toEqual([0, 0, 0, 0, 0]);
  expect(soft.elementLlr[1]).toBe(1);
});

import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { phaseBins, phaseTurn } from '../../../../decoders/frames/deep/phase-model.ts';

test('bins are chosen so that a space turns by nearly whole bins', () => {
  // 170 Hz at 45.45 Bd: 3.74 turns, 27 bins.
  expect(phaseBins(3.74)).toBe(27);
});

describe('phaseTurn', () => {
  test('is a kernel with the turn as its mean and at least the diffusion as its variance', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 24, max: 32 }),
        fc.double({ min: -20, max: 20, noNaN: true }),
        fc.double({ min: 0, max: 0.05, noNaN: true }),
        (bins, turns, diffusion) => {
          const { before, same, after, ...turn } = phaseTurn(bins, turns, diffusion);
          expect(Math.min(before, same, after)).toBeGreaterThanOrEqual(0);
          expect(before + same + after).toBeCloseTo(1, 6);
          const mean = after - before;
          const moved = (turn.bins + mean - bins * turns) / bins;
          expect(moved - Math.round(moved)).toBeCloseTo(0, 6);
          const variance = (before + after - mean * mean) * ((2 * Math.PI) / bins) ** 2;
          expect(variance).toBeGreaterThanOrEqual(
            Math.min(diffusion, 0.97 * (1 - mean * mean) * ((2 * Math.PI) / bins) ** 2) - 1e-6,
          );
        },
      ),
    );
  });
});

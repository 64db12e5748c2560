import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { diffusionKernel, phaseBins, phaseTurn } from '../../../../decoders/frames/deep/phase-model.ts';

test('bins are chosen so that a space turns by nearly whole bins', () => {
  // 170 Hz at 45.45 Bd: 3.74 turns, 27 bins.
  expect(phaseBins(3.74)).toBe(27);
});

const bins = fc.integer({ min: 24, max: 32 });

test('a turn is whole bins and a share of the next, whatever its size and sign', () => {
  fc.assert(
    fc.property(bins, fc.double({ min: -20, max: 20, noNaN: true }), (count, turns) => {
      const { whole, part } = phaseTurn(count, turns);
      expect(Number.isInteger(whole) && whole >= 0 && whole < count).toBe(true);
      expect(part >= 0 && part < 1).toBe(true);
      const off = (whole + part) / count - turns;
      expect(Math.abs(off - Math.round(off))).toBeLessThan(1e-4 / 24);
    }),
  );
});

describe('the diffusion kernel', () => {
  test('is symmetric, sums to one, and has the variance asked for', () => {
    fc.assert(
      fc.property(bins, fc.double({ min: 0, max: 0.4, noNaN: true }), (count, diffusion) => {
        const kernel = diffusionKernel(count, diffusion);
        const reach = (kernel.length - 1) / 2;
        const binRadians = (2 * Math.PI) / count;
        let sum = 0;
        let variance = 0;
        kernel.forEach((weight, i) => {
          expect(weight).toBeGreaterThanOrEqual(0);
          expect(weight).toBeCloseTo(kernel[kernel.length - 1 - i], 12);
          sum += weight;
          variance += weight * ((i - reach) * binRadians) ** 2;
        });
        expect(sum).toBeCloseTo(1, 9);
        expect(Math.abs(variance - diffusion)).toBeLessThanOrEqual(0.03 * diffusion + 1e-12);
      }),
    );
  });
});

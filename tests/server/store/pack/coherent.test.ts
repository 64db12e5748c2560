import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { packCoherent, unpackCoherent } from '../../../../server/store/pack/coherent.ts';
import { stretch } from '../../support/coherent.ts';

describe('stretches with a phase as bytes', () => {
  test('come back, their sums to half a step of 1/127 of the largest', () => {
    const stretches = fc.array(fc.tuple(fc.integer({ min: 0, max: 120 }), fc.integer({ min: 0, max: 1000 })), {
      maxLength: 4,
    });
    fc.assert(
      fc.property(stretches, (drawn) => {
        const given = drawn.map(([slots, seed]) => stretch(slots, seed));
        const back = unpackCoherent(packCoherent(given));
        expect(back.map(({ sums, ...rest }) => ({ ...rest, sums: sums.length }))).toEqual(
          given.map(({ sums, ...rest }) => ({ ...rest, sums: sums.length })),
        );
        for (const [k, { sums }] of given.entries()) {
          const step = sums.reduce((most, each) => Math.max(most, Math.abs(each)), 0) / 127;
          const worst = sums.reduce((most, sum, i) => Math.max(most, Math.abs(back[k].sums[i] - sum)), 0);
          expect(worst).toBeLessThanOrEqual(0.501 * step);
        }
      }),
    );
  });

  test('take 28 bytes a character', () => {
    expect(packCoherent([stretch(63)])).toHaveLength(1 + 50 + 63 * 28);
  });

  test('of another length are refused', () => {
    const packed = packCoherent([stretch(5), stretch(7)]);
    for (const length of [0, 1, 40, packed.length - 1]) {
      expect(() => unpackCoherent(packed.subarray(0, length))).toThrow('do not fit');
    }
    expect(() => unpackCoherent(Uint8Array.of(...packed, 0))).toThrow('do not fit');
  });
});

import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { packSoft, unpackSoft } from '../../../../server/store/pack/soft.ts';
import { stretch } from '../../support/coherent.ts';

function soft(starts: readonly number[], llrs: readonly number[]) {
  return { count: starts.length, startSeconds: Float64Array.from(starts), elementLlr: Float32Array.from(llrs) };
}

describe('soft elements as bytes', () => {
  test('come back with their times to a tenth of a millisecond and likelihoods to 1/64 nat', () => {
    const slots = fc.array(
      fc.record({
        gap: fc.double({ min: 0.02, max: 2, noNaN: true }),
        llrs: fc.array(fc.double({ min: -1000, max: 1000, noNaN: true }), { minLength: 7, maxLength: 7 }),
      }),
      { maxLength: 80 },
    );
    fc.assert(
      fc.property(fc.double({ min: 0, max: 30_000, noNaN: true }), slots, (start, columns) => {
        let at = start;
        const starts = columns.map(({ gap }) => {
          at += gap;
          return at;
        });
        const llrs = columns.flatMap((column) => column.llrs);
        const back = unpackSoft(packSoft(soft(starts, llrs)));
        expect(back.count).toBe(starts.length);
        for (const [i, seconds] of starts.entries()) {
          expect(Math.abs(back.startSeconds[i] - seconds)).toBeLessThan(1e-4);
        }
        for (const [i, llr] of llrs.entries()) {
          expect(Math.abs(back.elementLlr[i] - llr)).toBeLessThanOrEqual(1 / 64 + 1e-4);
        }
      }),
    );
  });

  test('take 18 bytes a character', () => {
    expect(packSoft(soft(new Array(42).fill(1), new Array(42 * 7).fill(0)))).toHaveLength(13 + 42 * 18 + 1);
  });

  test('hold certainty as the largest number, and what is no number as no knowledge', () => {
    const back = unpackSoft(packSoft(soft([0], [Infinity, -Infinity, 1e6, -1e6, Number.NaN, 0, 1])));
    expect([...back.elementLlr]).toEqual([1023.96875, -1023.96875, 1023.96875, -1023.96875, 0, 0, 1]);
  });

  test('of the first version are read in its units', () => {
    const packed = packSoft(soft([3], [1, -2, 3, -4, 5, -6, 7]));
    const first = Uint8Array.of(1, ...packed.subarray(1, -1));
    expect([...unpackSoft(first).elementLlr]).toEqual([0.5, -1, 1.5, -2, 2.5, -3, 3.5]);
  });

  test('bring along the stretches through which a phase holds', () => {
    const plain = soft([3], [1, -2, 3, -4, 5, -6, 7]);
    expect(unpackSoft(packSoft(plain)).coherent).toBeUndefined();
    const coherent = [stretch(2), stretch(63)];
    const back = unpackSoft(packSoft({ ...plain, coherent }));
    expect(back.coherent?.map(({ slots, startSeconds }) => [slots, startSeconds])).toEqual([
      [2, 3.25],
      [63, 3.25],
    ]);
    const second = Uint8Array.of(2, ...packSoft(plain).subarray(1, -1));
    expect(unpackSoft(second)).toEqual(unpackSoft(packSoft(plain)));
  });

  test('of another version or length are refused', () => {
    const packed = packSoft(soft([0], [1, 2, 3, 4, 5, 6, 7]));
    expect(() => unpackSoft(Uint8Array.of(9, ...packed.subarray(1)))).toThrow('unknown version');
    expect(() => unpackSoft(packed.subarray(0, -1))).toThrow('do not fit');
    expect(() => unpackSoft(new Uint8Array(0))).toThrow('unknown version');
  });
});

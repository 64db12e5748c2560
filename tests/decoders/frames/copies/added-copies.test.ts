import fc from 'fast-check';
import { expect, test } from 'vitest';
import { addCopies, elementsAt, type Placed } from '../../../../decoders/frames/copies/added-copies.ts';
import { Random } from '../../../../decoders/simulate/random.ts';
import { boundLlr } from '../../../../decoders/teletype/soft-characters.ts';
import { heard } from '../../support/soft.ts';

const codes = Array.from({ length: 12 }, (_, i) => (5 * i) % 32);

function placed(seed: number, shiftSeconds = 0, fromSlot = 0, toSlot = codes.length): Placed {
  return { soft: heard(codes, 10, new Random(seed)), fromSlot, toSlot, shiftSeconds };
}

test('elements add up slot by slot, each bounded before', () => {
  const a = placed(1);
  const b = placed(2);
  const { soft, slots } = addCopies([a, b]);
  expect(soft.count).toBe(codes.length);
  expect(slots.map((each) => [...each])).toEqual([codes.map((_, i) => i), codes.map((_, i) => i)]);
  for (const [i, llr] of soft.elementLlr.entries()) {
    expect(llr).toBeCloseTo(boundLlr(a.soft.elementLlr[i]) + boundLlr(b.soft.elementLlr[i]), 3);
  }
});

test('one copy can turn no element against two', () => {
  const [a, b, c] = [placed(1), placed(2), placed(3)];
  const click = { ...c, soft: { ...c.soft, elementLlr: c.soft.elementLlr.map((llr) => -1000 * llr) } };
  const { soft } = addCopies([a, b, click]);
  let turned = 0;
  for (const [i, llr] of soft.elementLlr.entries()) {
    const two = boundLlr(a.soft.elementLlr[i]) + boundLlr(b.soft.elementLlr[i]);
    if (Math.abs(two) > 16.2 && Math.sign(llr) !== Math.sign(two)) turned++;
  }
  expect(turned).toBe(0);
});

test('slots beyond the first copy are added, those it lacks are filled in', () => {
  const { soft, slots } = addCopies([placed(1, 0, 3, 8), placed(2, 0.03, 0, 12)]);
  expect(soft.count).toBe(12);
  expect([...slots[0]]).toEqual([-1, -1, -1, 3, 4, 5, 6, 7, -1, -1, -1, -1]);
  expect([...slots[1]]).toEqual(codes.map((_, i) => i));
  expect([...elementsAt(placed(1).soft, slots[0]).subarray(0, 7)]).toEqual([0, 0, 0, 0, 0, 0, 0]);
});

test('times stay in order, and every slot of every copy is used at most once', () => {
  fc.assert(
    fc.property(fc.array(fc.double({ min: -2, max: 2, noNaN: true }), { minLength: 1, maxLength: 4 }), (shifts) => {
      const copies = shifts.map((shift, i) => placed(i, shift));
      const { soft, slots } = addCopies(copies);
      expect([...soft.startSeconds]).toEqual([...soft.startSeconds].sort((a, b) => a - b));
      for (const own of slots) {
        const used = [...own].filter((slot) => slot >= 0);
        expect(used).toEqual([...new Set(used)].sort((a, b) => a - b));
      }
    }),
  );
});

import { describe, expect, test } from 'vitest';
import { limitState, limitsInForce, sideOf } from '../../../decoders/engineering/limits.ts';
import type { LimitSet } from '../../../decoders/mission/types.ts';
// Cell limits of public 18650 specifications, see the file.
import reference from '../../reference/limits.json' with { type: 'json' };

describe('sideOf', () => {
  test('a value on a bound is within, null is no bound', () => {
    expect(sideOf(3, [3, 4.2])).toBe('within');
    expect(sideOf(4.2, [3, 4.2])).toBe('within');
    expect(sideOf(2.999, [3, 4.2])).toBe('below');
    expect(sideOf(4.201, [3, 4.2])).toBe('above');
    expect(sideOf(-1e9, [null, 1])).toBe('within');
    expect(sideOf(1e9, [1, null])).toBe('within');
  });
});

test('limitState: hard before soft', () => {
  const limits = { soft: [7.0, 8.3], hard: [6.6, 8.45] } as const;
  expect([7, 6.99, 6.6, 6.59, 8.3, 8.31, 8.45, 8.46].map((value) => limitState(value, limits))).toEqual([
    'normal',
    'soft',
    'soft',
    'hard',
    'normal',
    'soft',
    'soft',
    'hard',
  ]);
});

describe('limits that depend on the direction of the current', () => {
  const rangeOf = (quantity: string): [number, number] => {
    const row = reference.cell_limits.find((each) => each.quantity === quantity);
    return [row?.low ?? Number.NaN, row?.high ?? Number.NaN];
  };
  const sets: LimitSet[] = [
    { hard: rangeOf('charge temperature'), when: { parameter: 'current', above: 0 } },
    { hard: rangeOf('discharge temperature') },
  ];

  test('charging uses 0 to 45 °C, otherwise -20 to 60 °C', () => {
    expect(limitsInForce(sets, () => true)).toEqual({ soft: [null, null], hard: [0, 45], note: null });
    expect(limitsInForce(sets, () => false)).toEqual({ soft: [null, null], hard: [-20, 60], note: null });
  });

  test(reference.context_rule, () => {
    const limits = limitsInForce(sets, () => null);
    expect(limits?.hard).toEqual([-20, 60]);
    expect(limits?.note).toMatch(/current not known: the widest limits applied/);
  });

  test('the widest of bounds on different sides, and no bound is wider than any', () => {
    const when = { parameter: 'mode', equals: 'SAFE' };
    const limits = limitsInForce(
      [
        { hard: [0, 50], soft: [1, 2], when },
        { hard: [-5, 40], soft: [null, 1.5] },
      ],
      () => null,
    );
    expect(limits).toMatchObject({ hard: [-5, 50], soft: [null, 2] });
  });

  test('none applies', () => {
    expect(limitsInForce(sets.slice(0, 1), () => false)).toBeNull();
    expect(limitsInForce([], () => null)).toBeNull();
  });
});

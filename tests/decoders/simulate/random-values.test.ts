import { describe, expect, test } from 'vitest';
import type { LayoutPart } from '../../../decoders/mission/types.ts';
import { Random } from '../../../decoders/simulate/random.ts';
import { randomValues } from '../../../decoders/simulate/random-values.ts';

describe('randomValues', () => {
  const field = (id: string, form: Extract<LayoutPart, { part: 'field' }>['form'], wraps?: number): LayoutPart => ({
    part: 'field',
    field: id,
    form,
    missing: [],
    ...(wraps === undefined ? {} : { wraps }),
  });
  const layout: LayoutPart[] = [
    { part: 'text', text: 'Q0DUN ' },
    field('count', { kind: 'digits', min: 2, max: 2, decimals: 0 }, 60),
    field('current', { kind: 'digits', min: 1, max: 3, decimals: 1, sign: 'minus' }),
    field('mode', { kind: 'oneOf', texts: ['SAFE', 'NOM'] }),
    { part: 'optional', layout: [field('extra', { kind: 'hex', length: 2 })] },
    {
      part: 'either',
      layouts: [[field('left', { kind: 'letters', length: 1 })], [field('right', { kind: 'letters', length: 1 })]],
    },
  ];

  test('are values that the forms can print, optional parts now in, now out', () => {
    const random = new Random(5);
    const drawn = Array.from({ length: 200 }, () => randomValues(layout, random));
    for (const values of drawn) {
      expect(values.count).toBeGreaterThanOrEqual(0);
      expect(values.count).toBeLessThan(60);
      expect(Math.abs(Number(values.current))).toBeLessThan(1000);
      expect(['SAFE', 'NOM']).toContain(values.mode);
      expect('left' in values).toBe(!('right' in values));
    }
    expect(new Set(drawn.map((values) => 'extra' in values))).toEqual(new Set([true, false]));
    expect(drawn.some(({ current }) => Number(current) < 0)).toBe(true);
  });

  test('are the same for the same seed', () => {
    expect(randomValues(layout, new Random(9))).toEqual(randomValues(layout, new Random(9)));
  });
});

// @vitest-environment node
import { describe, expect, it } from 'vitest';
import { extentOf, limitLines } from '../../../web/charts/limits.ts';
import { parameter } from '../support/scene.ts';

describe('limit lines', () => {
  it('are one for each bound that there is', () => {
    expect(limitLines(parameter().limit).map(({ at, kind }) => `${kind} ${at}`)).toEqual([
      'soft 7',
      'soft 8.3',
      'hard 6.6',
      'hard 8.45',
    ]);
    expect(limitLines({ ...parameter().limit, soft: [null, 620], hard: null } as never)).toEqual([
      { at: 620, kind: 'soft' },
    ]);
    expect(limitLines(null)).toEqual([]);
  });
});

describe('the extent of a panel', () => {
  const limits = [
    { at: 7, kind: 'soft' },
    { at: 100, kind: 'hard' },
  ] as const;

  it('takes in the limits that are near, and not those far away', () => {
    const { min, max } = extentOf([7.4, 8], limits);
    expect(min).toBeLessThan(7);
    expect(max).toBeGreaterThan(8);
    expect(max).toBeLessThan(10);
  });

  it('gives a constant some room', () => {
    const { min, max } = extentOf([5, 5], []);
    expect(min).toBeLessThan(5);
    expect(max).toBeGreaterThan(5);
  });

  it('shows the limits when there are no values', () => {
    expect(extentOf([], limits).max).toBeGreaterThan(100);
    expect(extentOf([], [])).toEqual({ min: 0, max: 1 });
  });
});

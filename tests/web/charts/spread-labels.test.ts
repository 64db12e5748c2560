// @vitest-environment node
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { spreadLabels } from '../../../web/charts/spread-labels.ts';

describe('labels at the edge of a panel', () => {
  it('stay where they belong when there is room', () => {
    expect(spreadLabels([80, 20, 50], 14, 0, 100)).toEqual([80, 20, 50]);
  });

  it('are moved apart in their order, and back from beyond the edges', () => {
    expect(spreadLabels([50, 52], 14, 0, 100)).toEqual([50, 64]);
    expect(spreadLabels([500, 400], 14, 0, 100)).toEqual([100, 86]);
    expect(spreadLabels([-9, -90], 14, 0, 100)).toEqual([14, 0]);
  });

  it('never print over each other while there is room for all', () => {
    fc.assert(
      fc.property(fc.array(fc.integer({ min: -200, max: 400 }), { maxLength: 7 }), (wanted) => {
        const places = spreadLabels(wanted, 14, 0, 100).sort((a, b) => a - b);
        for (let i = 1; i < places.length; i++)
          expect((places[i] ?? 0) - (places[i - 1] ?? 0)).toBeGreaterThanOrEqual(14);
      }),
    );
  });
});

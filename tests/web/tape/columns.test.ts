// @vitest-environment node
import { describe, expect, it } from 'vitest';
import { tapeColumns } from '../../../web/tape/columns.ts';
import { burst } from '../support/scene.ts';

describe('the columns of a tape', () => {
  const { slots, characters } = burst();
  const columns = tapeColumns(slots, characters);

  it('are one a slot, in the order they were sent', () => {
    expect(columns.map(({ slot, text }) => [slot, text])).toEqual([
      [0, ''],
      [1, 'Q'],
      [2, 'A'],
    ]);
  });

  it('hold the likelihood of mark of the five data elements, first element first', () => {
    // Q is code 23: elements 1, 2, 3 and 5 are mark (ITA2, ITU-T Recommendation S.1)
    expect(columns[1]?.mark.map(Math.round)).toEqual([1, 1, 1, 0, 1]);
    // the ratio of the likelihoods is e^8
    expect(columns[1]?.mark[0]).toBeCloseTo(Math.exp(8) / (1 + Math.exp(8)), 9);
  });

  it('are undecided where nothing tells mark from space', () => {
    const [blank] = tapeColumns([{ slot: 0, startSeconds: 0, elements: [0, 0, 0, 0, 0, 0, 0] }], []);
    expect(blank?.mark).toEqual([0.5, 0.5, 0.5, 0.5, 0.5]);
    expect(blank?.confidence).toBeCloseTo(0.5 ** 5);
  });

  it('take the confidence of what is printed under them', () => {
    expect(columns.map(({ confidence }) => confidence > 0.9)).toEqual([true, true, false]);
  });
});

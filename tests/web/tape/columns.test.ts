// @vitest-environment node
import { describe, expect, it } from 'vitest';
import { columnAt, stretchesOf, tapeColumns } from '../../../web/tape/columns.ts';
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

describe('a place on the tape', () => {
  const { slots, characters } = burst();
  const columns = tapeColumns(slots, characters);

  it('is the column that has begun last', () => {
    expect([0, 0.99, 1, 1.16, 1.165, 9].map((seconds) => columnAt(columns, seconds))).toEqual([
      undefined,
      undefined,
      0,
      0,
      1,
      2,
    ]);
    expect(columnAt([], 1)).toBeUndefined();
  });

  it('has its stretch of time, with its neighbours', () => {
    expect(stretchesOf(columns, new Set([0, 1]), 2)).toEqual([{ fromSeconds: 1, toSeconds: 1.33 }]);
    expect(stretchesOf(columns, new Set([0, 2]), 2)).toEqual([
      { fromSeconds: 1, toSeconds: 1.165 },
      { fromSeconds: 1.33, toSeconds: 2 },
    ]);
    expect(stretchesOf(columns, new Set(), 2)).toEqual([]);
  });
});

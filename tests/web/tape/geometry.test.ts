// @vitest-environment node
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { TapeColumn } from '../../../web/tape/columns.ts';
import {
  COLUMN_WIDTH,
  feedPath,
  holesPath,
  LEADER,
  pieces,
  pieceWidth,
  strips,
  stripWidth,
} from '../../../web/tape/geometry.ts';

const column = (text: string, mark: readonly number[] = [1, 0, 1, 0, 1]): TapeColumn => ({
  slot: 0,
  startSeconds: 0,
  mark,
  text,
  confidence: 1,
});

/** Radii of the holes that a path draws, widest way. */
const radii = (path: string): number[] =>
  [...path.matchAll(/a([\d.]+) ([\d.]+)/g)].filter((_, i) => i % 2 === 0).map((match) => Number(match[2]));

describe('strips of tape', () => {
  it('show shifts as narrow columns', () => {
    const [strip = []] = strips([column(''), column('Q')], 500);
    expect(strip[0]?.width).toBeLessThan(0.7 * COLUMN_WIDTH);
    expect(strip[1]?.width).toBe(COLUMN_WIDTH);
    expect(strip[1]?.x).toBeCloseTo(LEADER + (strip[0]?.width ?? 0));
  });

  it('hold every column once, in order, and are no wider than there is room', () => {
    fc.assert(
      fc.property(fc.array(fc.constantFrom('', 'A', ' ')), fc.integer({ min: 60, max: 900 }), (texts, width) => {
        const all = strips(
          texts.map((text, slot) => ({ ...column(text), slot })),
          width,
        );
        expect(all.flat().map(({ column: { slot } }) => slot)).toEqual(texts.map((_, i) => i));
        for (const strip of all) expect(stripWidth(strip)).toBeLessThanOrEqual(width);
      }),
    );
  });

  it('are cut even where one column is wider than the room', () => {
    expect(strips([column('A'), column('B')], 5)).toHaveLength(2);
  });
});

describe('a tape that is not cut', () => {
  it('lies in pieces that join without bare tape between them', () => {
    const all = pieces(
      ['A', '', 'B', 'C', 'D'].map((text, slot) => ({ ...column(text), slot })),
      2,
    );
    expect(all.map((piece) => piece.map(({ column: { slot } }) => slot))).toEqual([[0, 1], [2, 3], [4]]);
    const widths = all.map((piece, i) => pieceWidth(piece, i === 2));
    const columnWidths = all.flat().reduce((sum, { width }) => sum + width, 0);
    expect(widths.reduce((sum, width) => sum + width, 0)).toBeCloseTo(columnWidths + 2 * LEADER);
    expect(all[1]?.[0]?.x).toBe(0);
  });
});

describe('holes', () => {
  it('have the likelihood of mark as their area', () => {
    const [strip = []] = strips([column('A', [1, 0.25, 0, 0, 0])], 500);
    const [full = 0, quarter = 0, ...more] = radii(holesPath(strip));
    expect(quarter / full).toBeCloseTo(0.5, 1);
    expect(more).toEqual([]);
  });

  it('of the feed are there for every column, smaller', () => {
    const [strip = []] = strips([column('A'), column('')], 500);
    const feed = radii(feedPath(strip));
    expect(feed).toHaveLength(2);
    expect(Math.max(...feed)).toBeLessThan(Math.max(...radii(holesPath(strip))));
  });
});

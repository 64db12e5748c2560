import { describe, expect, test } from 'vitest';
import { compileGraph } from '../../../decoders/frames/printed-graph.ts';
import { matchPrinted } from '../../../decoders/frames/printed-match.ts';
import type { LayoutPart } from '../../../decoders/mission/types.ts';

const graphOf = (...layout: LayoutPart[]) => compileGraph({ id: 'f', layout, repeats: 1 });
const text = (literal: string): LayoutPart => ({ part: 'text', text: literal });
const digits = (field: string, min: number, max = min): LayoutPart => ({
  part: 'field',
  field,
  form: { kind: 'digits', min, max, decimals: 0 },
  missing: [],
});
const graph = graphOf(text('AB '), digits('x', 1, 3), text(' C'), digits('y', 1));

describe('matchPrinted', () => {
  test.each(['AB 12 C3', '  AB\r\n 12   C3\n'])('%j fits', (printed) => {
    const match = matchPrinted(graph, printed);
    expect(match.matched && match.walk.map(({ character }) => character).join('')).toBe('AB 12 C3');
    expect(
      match.matched && match.walk.filter(({ owner }) => owner.kind === 'field').map((each) => each.character),
    ).toEqual(['1', '2', '3']);
  });

  test.each([
    ['AB 12 D3', 6, 'C'],
    ['AB 12', 5, 'C'],
    ['AB 12 C34', 8, ''],
    ['XB', 0, 'A'],
    ['', 0, 'A'],
    ['AB12 C3', 2, ' '],
  ])('%j does not, and says where', (printed, fitted, expected) => {
    expect(matchPrinted(graph, printed)).toEqual({ matched: false, fitted, expected });
  });

  test('spaces at the ends of a layout need not be printed', () => {
    const spaced = graphOf(text(' A'), digits('x', 1), text(' '));
    for (const printed of ['A1', ' A1', 'A1\r\n']) expect(matchPrinted(spaced, printed).matched).toBe(true);
  });
});

import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { compileGraph, type PrintedGraph } from '../../../decoders/frames/printed-graph.ts';
import { printedByBoth, readInTwoWays } from '../../../decoders/mission/ambiguity.ts';
import type { FieldForm, LayoutPart } from '../../../decoders/mission/types.ts';

const graphOf = (...layout: LayoutPart[]) => compileGraph({ id: 'f', layout, repeats: 1 });
const text = (literal: string): LayoutPart => ({ part: 'text', text: literal });
const field = (id: string, form: FieldForm): LayoutPart => ({ part: 'field', field: id, form, missing: [] });
const digits = (id: string, min: number, max = min) => field(id, { kind: 'digits', min, max, decimals: 0 });
const oneOf = (id: string, ...texts: string[]) => field(id, { kind: 'oneOf', texts });
const optional = (...layout: LayoutPart[]): LayoutPart => ({ part: 'optional', layout });

/** Every text of a graph with the number of walks that print it, by brute force. */
function language(
  graph: PrintedGraph,
  node = graph.start,
  prefix = '',
  counts = new Map<string, number>(),
): Map<string, number> {
  if (node === graph.end) counts.set(prefix, (counts.get(prefix) ?? 0) + 1);
  for (const index of graph.outgoing[node]) {
    const { characters, to } = graph.edges[index];
    for (const character of characters) language(graph, to, prefix + character, counts);
  }
  return counts;
}

describe('readInTwoWays', () => {
  test('two widths next to each other', () => {
    const found = readInTwoWays(graphOf(text('A'), digits('x', 1, 2), digits('y', 1, 2)));
    expect(found?.text).toMatch(/^A\d{3}$/);
    expect(found?.readings.map((reading) => reading.replace(/\d/g, '9')).sort()).toEqual([
      'literal "A", x "9", y "99"',
      'literal "A", x "99", y "9"',
    ]);
  });

  test.each([
    ['a variable width before a fixed one', graphOf(digits('x', 1, 4), digits('y', 2))],
    ['a variable width before letters', graphOf(digits('x', 1, 4), field('y', { kind: 'letters', length: 2 }))],
    ['two widths apart by a space', graphOf(digits('x', 1, 4), text(' '), digits('y', 1, 4))],
    [
      'a sign between them',
      graphOf(digits('x', 1, 4), field('y', { kind: 'digits', min: 1, max: 4, decimals: 0, sign: 'always' })),
    ],
    ['a copy of a variable width', graphOf(digits('x', 1, 4), { part: 'again', field: 'x', complement: false })],
    ['texts of which one begins another', graphOf(oneOf('m', 'SAFE', 'SAFER'), text(' '), oneOf('n', 'R', 'N'))],
  ])('%s is read in one way', (_, graph) => expect(readInTwoWays(graph)).toBeNull());

  test.each([
    ['a minus only sometimes', graphOf(digits('x', 1, 2), text('-'), digits('y', 1)), false],
    ['texts that run together', graphOf(oneOf('m', 'A', 'AB'), oneOf('n', 'C', 'BC')), true],
    [
      'an optional part like what follows',
      graphOf(digits('x', 1), optional(digits('y', 1)), optional(digits('z', 1))),
      true,
    ],
    [
      'alternatives that print the same',
      graphOf({
        part: 'either',
        layouts: [
          [text('A'), digits('x', 1)],
          [text('A'), digits('y', 1)],
        ],
      }),
      true,
    ],
  ])('%s', (_, graph, ambiguous) => expect(readInTwoWays(graph) !== null).toBe(ambiguous));

  test('agrees with counting all walks', () => {
    const binary = (id: string, min: number, max: number) =>
      oneOf(id, ...['0', '1', '00', '01', '10', '000'].filter((each) => each.length >= min && each.length <= max));
    const part = fc.oneof(
      fc.constantFrom('0', '1', 'A').map(text),
      fc
        .record({ min: fc.integer({ min: 1, max: 2 }), more: fc.nat(1) })
        .map(({ min, more }) => binary('x', min, min + more)),
      fc.constant(optional(text('0'))),
      fc.constant(optional(binary('y', 1, 1))),
    );
    let ambiguous = 0;
    fc.assert(
      fc.property(fc.array(part, { minLength: 1, maxLength: 4 }), (parts) => {
        const graph = graphOf(text('S'), ...parts);
        const counts = language(graph);
        const found = readInTwoWays(graph);
        expect(found !== null).toBe([...counts.values()].some((count) => count > 1));
        if (found === null) return;
        ambiguous++;
        expect(counts.get(found.text)).toBeGreaterThan(1);
      }),
    );
    expect(ambiguous).toBeGreaterThan(5);
  });
});

describe('printedByBoth', () => {
  test('gives a common text', () => {
    const a = graphOf(text('Q '), digits('x', 1, 4));
    const b = graphOf(text('Q '), field('y', { kind: 'hex', length: 2 }));
    expect(printedByBoth(a, b)?.text).toMatch(/^Q \d\d$/);
    expect(printedByBoth(a, graphOf(text('Q A'), digits('x', 1)))).toBeNull();
    expect(printedByBoth(a, graphOf(text('Q '), digits('x', 5)))).toBeNull();
  });
});

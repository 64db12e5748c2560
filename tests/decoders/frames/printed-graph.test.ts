import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { compileGraph, type PrintedEdge, type PrintedGraph } from '../../../decoders/frames/printed-graph.ts';
import type { FieldForm, LayoutPart } from '../../../decoders/mission/types.ts';

const graphOf = (...layout: LayoutPart[]) => compileGraph({ id: 'f', layout, repeats: 1 });
const text = (literal: string): LayoutPart => ({ part: 'text', text: literal });
const field = (id: string, form: FieldForm, missing: string[] = []): LayoutPart => ({
  part: 'field',
  field: id,
  form,
  missing,
});
const digits = (min: number, max = min): FieldForm => ({ kind: 'digits', min, max, decimals: 0 });
const again = (id: string): LayoutPart => ({ part: 'again', field: id, complement: false });

/** Every walk that prints exactly `printed`. */
function walks(graph: PrintedGraph, printed: string, node = graph.start): PrintedEdge[][] {
  if (printed === '') return node === graph.end ? [[]] : [];
  return graph.outgoing[node]
    .map((index) => graph.edges[index])
    .filter((edge) => edge.characters.includes(printed[0]))
    .flatMap((edge) => walks(graph, printed.slice(1), edge.to).map((rest) => [edge, ...rest]));
}

function fieldTexts(walk: readonly PrintedEdge[], printed: string): Record<string, string> {
  const texts: Record<string, string> = {};
  walk.forEach((edge, i) => {
    const { owner } = edge;
    const key = owner.kind === 'field' || owner.kind === 'again' ? `${owner.kind}:${owner.field}` : owner.kind;
    texts[key] = (texts[key] ?? '') + printed[i];
  });
  return texts;
}

/** All texts of a graph, with one character standing for each set of alternatives. */
function languageOf(graph: PrintedGraph, node = graph.start): string[] {
  const rest = graph.outgoing[node]
    .map((index) => graph.edges[index])
    .flatMap((edge) => languageOf(graph, edge.to).map((tail) => edge.characters[0] + tail));
  return node === graph.end ? ['', ...rest] : rest;
}

describe('a frame with every usual part', () => {
  const graph = graphOf(
    text('Q0DUN P '),
    field('battery', digits(1, 4)),
    text(' '),
    field('current', { kind: 'digits', min: 4, max: 4, decimals: 0, sign: 'minus' }),
    text(' '),
    field('bus', { kind: 'digits', min: 2, max: 2, decimals: 2 }, ['//']),
    text(' '),
    field('mode', { kind: 'oneOf', texts: ['SAFE', 'SAFER', 'NOM'] }),
    text(' '),
    {
      part: 'checksum',
      algorithm: 'crc-8/smbus',
      form: { kind: 'hex', length: 2 },
      covers: 'text',
      byteOrder: 'big',
    },
  );

  test('puts the fields of a text together', () => {
    const printed = 'Q0DUN P 7921 -0130 05.02 SAFER 6C';
    const found = walks(graph, printed);
    expect(found).toHaveLength(1);
    expect(fieldTexts(found[0], printed)).toMatchObject({
      'field:battery': '7921',
      'field:current': '-0130',
      'field:bus': '05.02',
      'field:mode': 'SAFER',
      check: '6C',
      text: 'Q0DUNP',
    });
    expect(graph.words).toEqual(['Q0DUN', 'P']);
    expect(found[0].slice(0, 7).map(({ owner }) => (owner.kind === 'text' ? owner.word : owner.kind))).toEqual([
      0,
      0,
      0,
      0,
      0,
      'space',
      1,
    ]);
    expect(graph.fields.map(({ field }) => field)).toEqual(['battery', 'current', 'bus', 'mode']);
    expect(graph.checks).toHaveLength(1);
  });

  test.each(['Q0DUN P 7 0130 // NOM 6C', 'Q0DUN P 79 -0130 00.00 SAFE FF'])('prints %s in one way', (printed) => {
    expect(walks(graph, printed)).toHaveLength(1);
  });

  test.each([
    'Q0DUN P  0130 // NOM 6C',
    'Q0DUN P 79210 0130 // NOM 6C',
    'Q0DUN P 7 +0130 // NOM 6C',
    'Q0DUN P 7 0130 // NOM 6G',
    'Q0DUN P 7 0130 // NOM ',
  ])('does not print %s', (printed) => expect(walks(graph, printed)).toHaveLength(0));

  test('is small: widths share their nodes', () => {
    // 8 literals, 4 digits, space, sign, 4 digits, space, 5 of bus, space, 3 + 1 + 2 of mode, space, 2 hex, and few more for ends
    expect(graph.nodeCount).toBeLessThan(40);
  });
});

describe('branches', () => {
  test('optional and either', () => {
    const graph = graphOf(
      text('A'),
      { part: 'optional', layout: [text(' B')] },
      { part: 'either', layouts: [[text(' C')], [text(' D'), field('x', digits(1))]] },
    );
    expect(languageOf(graph).sort()).toEqual(['A B C', 'A B D0', 'A C', 'A D0']);
  });

  test('an optional end', () => {
    const graph = graphOf(text('A'), {
      part: 'optional',
      layout: [text('B'), { part: 'optional', layout: [text('C')] }],
    });
    expect(languageOf(graph).sort()).toEqual(['A', 'AB', 'ABC']);
    expect(walks(graph, 'AB')).toHaveLength(1);
  });

  test('spaces next to each other are one', () => {
    expect(languageOf(graphOf(text('A '), text('\r\n B')))).toEqual(['A B']);
    expect(languageOf(graphOf(text('A '), { part: 'optional', layout: [text('B ')] }, text(' C'))).sort()).toEqual([
      'A B C',
      'A C',
    ]);
  });

  test('a missing text that the form prints anyway is no second way', () => {
    expect(walks(graphOf(field('x', digits(4), ['9999', '----'])), '9999')).toHaveLength(1);
    expect(walks(graphOf(field('x', digits(4), ['9999', '----'])), '----')).toHaveLength(1);
  });
});

describe('a field sent again', () => {
  test('has the shape of its first copy', () => {
    const graph = graphOf(field('x', digits(1, 3), ['/']), again('x'), text(' END'));
    expect(walks(graph, '1212 END')).toHaveLength(1);
    expect(walks(graph, '121 END')).toHaveLength(0);
    expect(walks(graph, '// END')).toHaveLength(1);
    expect(walks(graph, '/1 END')).toHaveLength(0);
    expect(fieldTexts(walks(graph, '123124 END')[0], '123124 END')).toMatchObject({
      'field:x': '123',
      'again:x': '124',
    });
  });

  test('may be nested and crossed with another', () => {
    const graph = graphOf(
      field('x', digits(1, 2)),
      text('A'),
      field('y', digits(1, 2)),
      { part: 'optional', layout: [text('B'), again('x')] },
      again('y'),
    );
    expect(walks(graph, '1A22B122')).toHaveLength(1);
    expect(walks(graph, '12A33')).toHaveLength(1);
    expect(walks(graph, '1A22B12')).toHaveLength(0);
    expect(walks(graph, '1A22B1122')).toHaveLength(0);
    expect(graph.words).toEqual(['A', 'B']);
  });

  test('before it was sent is refused', () => {
    expect(() => graphOf(again('x'), field('x', digits(1)))).toThrow(/x is sent again/);
  });
});

describe('layouts that cannot be', () => {
  test.each([
    [[]],
    [[{ part: 'optional', layout: [text('A')] }]],
    [[text('')]],
    [[{ part: 'either', layouts: [] }]],
  ] as [LayoutPart[]][])('%j prints nothing', (layout) => {
    expect(() => graphOf(...layout)).toThrow(expect.objectContaining({ code: 'layout-empty' }));
  });

  test('copies that multiply are stopped', () => {
    const ids = ['a', 'b', 'c', 'd', 'e'];
    expect(() => graphOf(...ids.map((id) => field(id, digits(1, 15))), ...ids.map(again))).toThrow(
      expect.objectContaining({ code: 'layout-too-large' }),
    );
  });
});

test('every graph is acyclic, in order, without dead ends', () => {
  const leaf = fc.oneof(
    fc.constantFrom('A', 'B ', ' ', ' C D').map(text),
    fc
      .record({ min: fc.integer({ min: 1, max: 2 }), more: fc.nat(2) })
      .map(({ min, more }) => field('x', digits(min, min + more))),
    fc.constant(field('m', { kind: 'oneOf', texts: ['ON', 'OFF'] }, ['ONE'])),
  );
  const { layout } = fc.letrec<{ layout: LayoutPart[]; part: LayoutPart }>((tie) => ({
    layout: fc.array(tie('part'), { maxLength: 4 }),
    part: fc.oneof(
      { maxDepth: 3 },
      leaf,
      tie('layout').map((layout): LayoutPart => ({ part: 'optional', layout })),
      fc
        .array(tie('layout'), { minLength: 1, maxLength: 3 })
        .map((layouts): LayoutPart => ({ part: 'either', layouts })),
    ),
  }));
  fc.assert(
    fc.property(layout, (parts) => {
      const graph = graphOf(text('S'), ...parts);
      expect(graph.outgoing).toHaveLength(graph.nodeCount);
      expect(graph.outgoing[graph.end]).toEqual([]);
      graph.outgoing.forEach((indices, node) => {
        if (node !== graph.end) expect(indices.length).toBeGreaterThan(0);
        for (const index of indices) expect(graph.edges[index].from).toBe(node);
      });
      for (const [i, edge] of graph.edges.entries()) {
        expect(edge.to).toBeGreaterThan(edge.from);
        if (i > 0) expect(edge.from).toBeGreaterThanOrEqual(graph.edges[i - 1].from);
      }
    }),
  );
});

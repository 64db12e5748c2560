import type { EdgeOwner, PrintedGraph } from './printed-graph.ts';

/** One walk that prints a text, or the place from which no walk goes on. */
export type PrintedMatch =
  | { readonly matched: true; readonly walk: readonly { readonly character: string; readonly owner: EdgeOwner }[] }
  | {
      readonly matched: false;
      /** Characters of the text, spaces counted once, that some walk prints. */
      readonly fitted: number;
      /** What may stand next, each character once; empty when the frame ends there. */
      readonly expected: string;
    };

/**
 * Matches a whole printed text against a layout, exactly but for spaces: runs of spaces and line ends are one space, and those
 * around the text are ignored. Of several walks, which a checked mission does not have, the first is taken.
 */
export function matchPrinted(graph: PrintedGraph, text: string): PrintedMatch {
  const printed = text.trim().replace(/\s+/g, ' ');
  // A layout may begin or end with a space of its own, which nobody prints: one stands ready on either side.
  const padded = ` ${printed} `;
  /** For each position, the edge by which each node is first reached there. */
  const reached: Map<number, number | null>[] = [new Map([[graph.start, null]])];
  for (let position = 0; position < padded.length; position++) {
    if (position === 1) reached[1].set(graph.start, null);
    const next = new Map<number, number | null>();
    for (const node of reached[position].keys()) {
      for (const index of graph.outgoing[node]) {
        const { to, characters } = graph.edges[index];
        if (characters.includes(padded[position]) && !next.has(to)) next.set(to, index);
      }
    }
    reached.push(next);
  }
  for (const position of [padded.length - 1, padded.length]) {
    if (reached[position].has(graph.end)) return { matched: true, walk: walkBack(graph, padded, reached, position) };
  }
  const last = reached.findLastIndex((nodes) => nodes.size > 0);
  const expected = [...reached[last].keys()].flatMap((node) =>
    graph.outgoing[node].map((index) => graph.edges[index].characters),
  );
  return {
    matched: false,
    fitted: Math.min(Math.max(last - 1, 0), printed.length),
    expected: [...new Set(expected.join(''))].join(''),
  };
}

function walkBack(
  graph: PrintedGraph,
  padded: string,
  reached: readonly ReadonlyMap<number, number | null>[],
  end: number,
): { character: string; owner: EdgeOwner }[] {
  const walk: { character: string; owner: EdgeOwner }[] = [];
  let node = graph.end;
  for (let position = end; position > 0; position--) {
    const index = reached[position].get(node);
    if (index === undefined || index === null) break;
    const edge = graph.edges[index];
    walk.push({ character: padded[position - 1], owner: edge.owner });
    node = edge.from;
  }
  return walk.reverse();
}

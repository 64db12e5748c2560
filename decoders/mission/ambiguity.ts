import { FiveunitError } from '../errors.ts';
import type { PrintedEdge, PrintedGraph } from '../frames/printed-graph.ts';

/** A text that can be read in two ways, and what its fields would be in either. */
export interface Ambiguity {
  readonly text: string;
  readonly readings: readonly [string, string];
}

/** Far more pairs of places than any sensible layout has. */
const MAX_PAIRS = 1_000_000;

/** Shortest text that a layout prints by two different walks; null when every text has one. */
export function readInTwoWays(graph: PrintedGraph): Ambiguity | null {
  return commonText(graph, graph, true);
}

/** Shortest text that both layouts print; null when there is none. */
export function printedByBoth(a: PrintedGraph, b: PrintedGraph): Ambiguity | null {
  return commonText(a, b, false);
}

/** A pair of places reached by the same text, and how. */
interface Step {
  readonly a: number;
  readonly b: number;
  readonly parted: boolean;
  readonly before: Step | null;
  readonly edges: readonly [PrintedEdge, PrintedEdge] | null;
}

/** Breadth-first over pairs of places; with `apart` both walks are in one graph and must part somewhere. */
function commonText(a: PrintedGraph, b: PrintedGraph, apart: boolean): Ambiguity | null {
  const start: Step = { a: a.start, b: b.start, parted: !apart, before: null, edges: null };
  const seen = new Set([keyOf(start, b.nodeCount)]);
  const queue = [start];
  for (let i = 0; i < queue.length; i++) {
    const step = queue[i];
    if (step.parted && step.a === a.end && step.b === b.end) return ambiguityOf(step);
    for (const edgeA of a.outgoing[step.a]) {
      for (const edgeB of b.outgoing[step.b]) {
        const edges = [a.edges[edgeA], b.edges[edgeB]] as const;
        if (commonCharacter(edges) === undefined) continue;
        const next = { a: edges[0].to, b: edges[1].to, parted: step.parted || edgeA !== edgeB, before: step, edges };
        const key = keyOf(next, b.nodeCount);
        if (seen.has(key)) continue;
        seen.add(key);
        queue.push(next);
      }
    }
    if (queue.length > MAX_PAIRS) {
      throw new FiveunitError('layout-too-large', 'The layout has too many widths and branches to be checked');
    }
  }
  return null;
}

function keyOf(step: Step, nodeCount: number): number {
  return (step.a * nodeCount + step.b) * 2 + (step.parted ? 1 : 0);
}

function commonCharacter([a, b]: readonly [PrintedEdge, PrintedEdge]): string | undefined {
  return Array.from(a.characters).find((character) => b.characters.includes(character));
}

function ambiguityOf(end: Step): Ambiguity {
  const pairs: (readonly [PrintedEdge, PrintedEdge])[] = [];
  for (let step: Step | null = end; step !== null; step = step.before) if (step.edges !== null) pairs.push(step.edges);
  pairs.reverse();
  const characters = pairs.map((pair) => commonCharacter(pair) ?? '');
  const readingOf = (which: 0 | 1) =>
    describeWalk(pairs.map((pair, i) => ({ edge: pair[which], character: characters[i] })));
  return { text: characters.join(''), readings: [readingOf(0), readingOf(1)] };
}

/** What belongs to what: `count "12", literal "P", checksum "0A"`. */
function describeWalk(walk: readonly { edge: PrintedEdge; character: string }[]): string {
  const pieces: { name: string; text: string }[] = [];
  for (const { edge, character } of walk) {
    const name = ownerName(edge);
    const last = pieces.at(-1);
    if (last?.name === name) last.text += character;
    else pieces.push({ name, text: character });
  }
  return pieces
    .filter(({ name }) => name !== 'space')
    .map(({ name, text }) => `${name} "${text}"`)
    .join(', ');
}

function ownerName({ owner }: PrintedEdge): string {
  switch (owner.kind) {
    case 'text':
      return 'literal';
    case 'space':
      return 'space';
    case 'field':
      return owner.field;
    case 'again':
      return `${owner.field} again`;
    case 'check':
      return 'checksum';
  }
}

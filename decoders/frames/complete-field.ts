import type { PrintedGraph } from './printed-graph.ts';
import type { Span } from './scan.ts';
import type { WrittenCharacter } from './write-candidate.ts';

/**
 * Text of a field that was received from its first to its last character; null where nothing of it was, or where the frame is cut
 * so that there may have been more of it.
 */
export function completeFieldText(
  printed: PrintedGraph,
  characters: readonly WrittenCharacter[],
  { startsWhole, endsWhole }: Pick<Span, 'startsWhole' | 'endsWhole'>,
  field: string,
): string | null {
  const isIn = ({ owner }: WrittenCharacter) => owner.kind === 'field' && owner.field === field;
  const first = characters.findIndex(isIn);
  if (first < 0) return null;
  const last = characters.findLastIndex(isIn);
  const text = characters
    .slice(first, last + 1)
    .map(({ character }) => character)
    .join('');
  const isCutBefore = first === 0 && !startsWhole;
  const isCutAfter = last === characters.length - 1 && !endsWhole;
  if (!isCutBefore && !isCutAfter) return text;
  const walks = new FieldWalks(printed, field);
  const isPart = (isCutBefore && walks.mayHaveBegunBefore(text)) || (isCutAfter && walks.mayGoOn(text));
  return isPart ? null : text;
}

/** Ways through the part of a printed graph that is one field. */
class FieldWalks {
  private readonly printed: PrintedGraph;
  private readonly edges: PrintedGraph['edges'];
  private readonly entered: ReadonlySet<number>;
  private readonly left: ReadonlySet<number>;

  constructor(printed: PrintedGraph, field: string) {
    this.printed = printed;
    this.edges = printed.edges.filter(({ owner }) => owner.kind === 'field' && owner.field === field);
    this.entered = new Set(this.edges.map(({ to }) => to));
    this.left = new Set(this.edges.map(({ from }) => from));
  }

  /** Whether a text may be the end of a longer one. */
  mayHaveBegunBefore(text: string): boolean {
    const { edges, outgoing, end } = this.printed;
    const inside = [...this.left].filter((node) => this.entered.has(node));
    return this.walk(inside, text).some(
      (node) => node === end || outgoing[node].some((edge) => !this.edges.includes(edges[edge])),
    );
  }

  /** Whether a text may be the beginning of a longer one. */
  mayGoOn(text: string): boolean {
    const before = [...this.left].filter((node) => !this.entered.has(node));
    return this.walk(before, text).some((node) => this.left.has(node));
  }

  /** Nodes to which a text leads from any of some nodes. */
  private walk(from: readonly number[], text: string): readonly number[] {
    let nodes = new Set(from);
    for (const character of text) {
      nodes = new Set(
        this.edges.filter((edge) => nodes.has(edge.from) && edge.characters.includes(character)).map(({ to }) => to),
      );
    }
    return [...nodes];
  }
}

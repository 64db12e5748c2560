import type { CompiledLayout } from '../compiled-mission.ts';

/** A derived part, or a character of the literals between two of them, by its edge. */
export type SureItem =
  | { readonly kind: 'part'; readonly part: number; readonly node: number }
  | { readonly kind: 'literal'; readonly edge: number };

/**
 * What a frame holds from its first derived part (checksum, repeated field) on, where that is sure once its beginning is read:
 * derived parts, literals between them, and behind the last of them nothing but literals, of which some may be optional.
 */
export class SureRest {
  private readonly layout: CompiledLayout;
  /** 1 for nodes of the printed graph from which a derived part is still to come. */
  private readonly isToCome: Uint8Array;

  constructor(layout: CompiledLayout) {
    const { nodeCount } = layout.graph.printed;
    this.layout = layout;
    this.isToCome = new Uint8Array(nodeCount);
    for (let node = nodeCount - 1; node >= 0; node--) {
      if (this.edgesOf(node).some((edge) => this.partOf(edge) >= 0 || this.isToCome[this.endOf(edge)] === 1)) {
        this.isToCome[node] = 1;
      }
    }
  }

  /** Whether the rest is sure wherever a derived part begins. */
  isSure(): boolean {
    return (
      this.isOneAtEnd() || this.isWithoutChoice((node) => this.edgesOf(node).some((edge) => this.partOf(edge) >= 0))
    );
  }

  /** The same for what begins at a node. */
  isSureFrom(node: number): boolean {
    return this.isWithoutChoice((each) => each === node);
  }

  /** From a node where a derived part begins up to the last of them. */
  itemsFrom(node: number): SureItem[] {
    const items: SureItem[] = [];
    let inside = -1;
    for (let at = node; this.isToCome[at] === 1; ) {
      const edges = this.edgesOf(at);
      // A part at the frame's end may begin where other text may stand, too: then it is the part that is meant.
      const edge = edges.find((each) => this.partOf(each) >= 0) ?? edges[0];
      const part = this.partOf(edge);
      if (part < 0) items.push({ kind: 'literal', edge });
      else if (part !== inside) items.push({ kind: 'part', part, node: at });
      inside = part;
      at = this.endOf(edge);
    }
    return items;
  }

  private edgesOf(node: number): readonly number[] {
    return this.layout.graph.printed.outgoing[node];
  }

  private endOf(edge: number): number {
    return this.layout.graph.printed.edges[edge].to;
  }

  private partOf(edge: number): number {
    return this.layout.parts.partOfEdge[edge];
  }

  /** Whether there is one derived part at most, with nothing behind it. */
  private isOneAtEnd(): boolean {
    const { graph, parts } = this.layout;
    if (parts.owners.length > 1) return false;
    return graph.printed.edges.every(
      ({ to }, edge) => this.partOf(edge) < 0 || this.edgesOf(to).every((next) => this.partOf(next) >= 0),
    );
  }

  /** Whether there is one way only from where derived parts begin up to the last, and no field behind it. */
  private isWithoutChoice(isBegin: (node: number) => boolean): boolean {
    const { edges, nodeCount } = this.layout.graph.printed;
    const isBehind = new Uint8Array(nodeCount);
    for (let node = 0; node < nodeCount; node++) {
      const next = this.edgesOf(node);
      if (isBehind[node] === 0 && !isBegin(node)) continue;
      if (next.some((edge) => edges[edge].owner.kind === 'field')) return false;
      if (this.isToCome[node] === 1 && !this.goOneWay(next)) return false;
      for (const edge of next) isBehind[this.endOf(edge)] = 1;
    }
    return true;
  }

  /** Several edges are one way where they are characters of one derived part, and all that end it lead to another part or none does. */
  private goOneWay(edges: readonly number[]): boolean {
    if (edges.length === 1) return true;
    const part = this.partOf(edges[0]);
    if (part < 0 || edges.some((edge) => this.partOf(edge) !== part)) return false;
    const behind = edges.map((edge) => this.endOf(edge)).filter((node) => !this.isInside(node, part));
    return behind.every((node) => this.isToCome[node] === this.isToCome[behind[0]]);
  }

  private isInside(node: number, part: number): boolean {
    return this.edgesOf(node).some((edge) => this.partOf(edge) === part);
  }
}

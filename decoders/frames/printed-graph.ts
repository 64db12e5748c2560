import { FiveunitError } from '../errors.ts';
import type { ChecksumPart, FieldPart, FrameLayout, LayoutPart } from '../mission/types.ts';
import { type FieldShape, shapesOf } from './field-form.ts';

/** What a printed character belongs to. */
export type EdgeOwner =
  /** A literal character other than a space; `word` indexes `PrintedGraph.words`. */
  | { readonly kind: 'text'; readonly word: number }
  /** A literal space. */
  | { readonly kind: 'space' }
  | { readonly kind: 'field'; readonly field: string }
  /** `index` indexes `PrintedGraph.checks`. */
  | { readonly kind: 'check'; readonly index: number }
  | { readonly kind: 'again'; readonly field: string; readonly complement: boolean };

/** One printed character. The text of a field, check or copy is the characters of its edges in walking order. */
export interface PrintedEdge {
  readonly from: number;
  readonly to: number;
  /** The characters that may stand here, each once, for instance `0123456789`. */
  readonly characters: string;
  readonly owner: EdgeOwner;
}

/**
 * A layout compiled to an acyclic graph over printed characters, without empty edges: the walks from `start` to `end` are
 * the texts that the frame can print, one walk for each way to read a text. Shift codes are no part of it.
 *
 * A literal space is one edge `' '`: a reader lets it match one or more spaces or line ends. No two space edges follow each
 * other. A field sent again has on every walk the shape (width, sign text, "no value" text) of its first copy; that the digits
 * agree is the reader's to check.
 */
export interface PrintedGraph {
  readonly frame: string;
  readonly nodeCount: number;
  /** Always 0. */
  readonly start: number;
  /** Always `nodeCount - 1`. */
  readonly end: number;
  /** Ordered by `from`; every edge leads from a lower to a higher node. */
  readonly edges: readonly PrintedEdge[];
  /** Indices into `edges`, by the node that they leave. */
  readonly outgoing: readonly (readonly number[])[];
  /** Literal words in layout order: the literals split at spaces. */
  readonly words: readonly string[];
  /** In layout order, each id once. */
  readonly fields: readonly FieldPart[];
  /** In layout order. */
  readonly checks: readonly ChecksumPart[];
}

/** Far above any frame of a slow beacon; stops layouts whose copies multiply. */
const MAX_EDGES = 50_000;

/**
 * Compiles a layout. Throws `layout-empty` when it can print nothing, `layout-too-large` above 50 000 edges, and
 * `unknown-field` when a field is sent again where it was not sent before.
 */
export function compileGraph(frame: FrameLayout): PrintedGraph {
  return new GraphDraft().compile(frame);
}

interface DraftEdge {
  readonly from: number;
  readonly to: number;
  readonly characters: string;
  readonly owner: EdgeOwner;
}

type Shapes = ReadonlyMap<string, FieldShape>;

const SPACE: EdgeOwner = { kind: 'space' };

/** The graph while parts are appended; an "open" node is one after which the layout goes on. */
class GraphDraft {
  private readonly edges: DraftEdge[] = [];
  private readonly afterSpace: boolean[] = [false];
  private readonly words: string[] = [];
  private readonly fields = new Map<string, FieldPart>();
  private readonly checks: ChecksumPart[] = [];
  /** Parts that are compiled more than once keep their owners. */
  private readonly owners = new Map<LayoutPart, readonly EdgeOwner[]>();

  compile(frame: FrameLayout): PrintedGraph {
    const start = 0;
    const open = this.appendAll(frame.layout, [start], new Map());
    if (open.length === 0 || open.includes(start)) {
      throw new FiveunitError('layout-empty', `The layout of frame ${frame.id} can print nothing at all`);
    }
    const end = this.newNode(false);
    // Whatever leads to a place where the frame may stop also leads to the one end; the places themselves stay for what follows them.
    const stops = new Set(open);
    for (const edge of this.edges.slice())
      if (stops.has(edge.to)) this.connect([edge.from], edge.characters, edge.owner, end);
    return {
      frame: frame.id,
      ...numbered(this.edges, start, end, this.afterSpace.length),
      words: this.words,
      fields: [...this.fields.values()],
      checks: this.checks,
    };
  }

  private appendAll(parts: readonly LayoutPart[], open: readonly number[], shapes: Shapes): readonly number[] {
    let ends = open;
    for (let i = 0; i < parts.length; i++) {
      const part = parts[i];
      const last = lastCopy(parts, i);
      if (part.part === 'field' && last > i && !shapes.has(part.field)) {
        // Every shape of the first copy goes its own way up to the last copy, so that the copies can only have the same.
        const before = ends;
        const group = parts.slice(i, last + 1);
        ends = union(
          shapesOf(part.form, part.missing).map((shape) =>
            this.appendAll(group, before, new Map(shapes).set(part.field, shape)),
          ),
        );
        i = last;
      } else {
        ends = this.append(part, ends, shapes);
      }
    }
    return ends;
  }

  private append(part: LayoutPart, open: readonly number[], shapes: Shapes): readonly number[] {
    switch (part.part) {
      case 'text':
        return this.appendText(part, open);
      case 'field': {
        const [owner] = this.ownersOf(part, () => {
          if (!this.fields.has(part.field)) this.fields.set(part.field, part);
          return [{ kind: 'field', field: part.field }];
        });
        const shape = shapes.get(part.field);
        return this.appendShapes(shape ? [shape] : shapesOf(part.form, part.missing), owner, open);
      }
      case 'again': {
        const [owner] = this.ownersOf(part, () => [{ kind: 'again', field: part.field, complement: part.complement }]);
        const shape = shapes.get(part.field);
        if (shape === undefined) {
          throw new FiveunitError('unknown-field', `Field ${part.field} is sent again where it was not sent before`);
        }
        return this.appendShapes([shape], owner, open);
      }
      case 'checksum': {
        const [owner] = this.ownersOf(part, () => [{ kind: 'check', index: this.checks.push(part) - 1 }]);
        return this.appendShapes(shapesOf(part.form, []), owner, open);
      }
      case 'optional':
        return union([open, this.appendAll(part.layout, open, shapes)]);
      case 'either':
        return union(part.layouts.map((layout) => this.appendAll(layout, open, shapes)));
    }
  }

  private appendText(part: Extract<LayoutPart, { part: 'text' }>, open: readonly number[]): readonly number[] {
    const words = part.text.split(/[ \r\n]+/);
    const owners = this.ownersOf(part, () =>
      words.map((word) => (word === '' ? SPACE : { kind: 'text', word: this.words.push(word) - 1 })),
    );
    let ends = open;
    words.forEach((word, i) => {
      if (i > 0) ends = this.appendSpace(ends);
      for (const character of word) ends = [this.step(ends, character, owners[i])];
    });
    return ends;
  }

  private appendSpace(open: readonly number[]): readonly number[] {
    const already = open.filter((node) => this.afterSpace[node]);
    const others = open.filter((node) => !this.afterSpace[node]);
    return others.length === 0 ? already : [...already, this.step(others, ' ', SPACE)];
  }

  /** Appends the smallest graph that prints exactly the given shapes; it has one end. */
  private appendShapes(shapes: readonly FieldShape[], owner: EdgeOwner, open: readonly number[]): readonly number[] {
    const end = this.newNode(false);
    const nodes = new Map<string, number>();
    const grow = (rests: readonly FieldShape[], from: readonly number[]) => {
      const byFirst = new Map<string, FieldShape[]>();
      for (const [first, ...rest] of rests) byFirst.set(first, [...(byFirst.get(first) ?? []), rest]);
      for (const [characters, following] of byFirst) {
        if (following.some((rest) => rest.length === 0)) this.connect(from, characters, owner, end);
        const longer = following.filter((rest) => rest.length > 0);
        if (longer.length === 0) continue;
        const key = JSON.stringify(longer);
        const known = nodes.get(key);
        const node = known ?? this.newNode(false);
        this.connect(from, characters, owner, node);
        if (known === undefined) {
          nodes.set(key, node);
          grow(longer, [node]);
        }
      }
    };
    grow(shapes, open);
    return [end];
  }

  private step(open: readonly number[], characters: string, owner: EdgeOwner): number {
    const node = this.newNode(characters === ' ');
    this.connect(open, characters, owner, node);
    return node;
  }

  private newNode(afterSpace: boolean): number {
    return this.afterSpace.push(afterSpace) - 1;
  }

  private connect(from: readonly number[], characters: string, owner: EdgeOwner, to: number): void {
    for (const node of from) this.edges.push({ from: node, to, characters, owner });
    if (this.edges.length > MAX_EDGES) {
      throw new FiveunitError(
        'layout-too-large',
        `The layout grows beyond ${MAX_EDGES} edges; give fields that are sent again fixed widths, or split the frame`,
      );
    }
  }

  private ownersOf(part: LayoutPart, make: () => readonly EdgeOwner[]): readonly EdgeOwner[] {
    const owners = this.owners.get(part) ?? make();
    this.owners.set(part, owners);
    return owners;
  }
}

/** Index of the last part that belongs together with the field at `start`: its last copy, or that of a field in between. */
function lastCopy(parts: readonly LayoutPart[], start: number): number {
  let last = start;
  for (let i = start; i <= last; i++) {
    const part = parts[i];
    if (part.part !== 'field') continue;
    last = Math.max(
      last,
      parts.findLastIndex((each) => sendsAgain(part.field, each)),
    );
  }
  return last;
}

function sendsAgain(field: string, part: LayoutPart): boolean {
  if (part.part === 'again') return part.field === field;
  if (part.part === 'optional') return part.layout.some((each) => sendsAgain(field, each));
  return part.part === 'either' && part.layouts.some((layout) => layout.some((each) => sendsAgain(field, each)));
}

function union(lists: readonly (readonly number[])[]): readonly number[] {
  return [...new Set(lists.flat())];
}

/** Numbers the nodes that lie on some walk from start to end in topological order and sorts the edges by them. */
function numbered(
  edges: readonly DraftEdge[],
  start: number,
  end: number,
  draftCount: number,
): Pick<PrintedGraph, 'nodeCount' | 'start' | 'end' | 'edges' | 'outgoing'> {
  const leaving: DraftEdge[][] = Array.from({ length: draftCount }, () => []);
  for (const edge of edges) leaving[edge.from].push(edge);

  // Depth first, a node after all that follow it; those from which the end cannot be reached are left out.
  const useful = new Map<number, boolean>([[end, true]]);
  const order: number[] = [end];
  const stack = [{ node: start, next: 0 }];
  while (stack.length > 0) {
    const top = stack[stack.length - 1];
    const edge = leaving[top.node][top.next++];
    if (edge === undefined) {
      stack.pop();
      const reaches = leaving[top.node].some((each) => useful.get(each.to) === true);
      useful.set(top.node, reaches);
      if (reaches) order.push(top.node);
    } else if (!useful.has(edge.to)) {
      useful.set(edge.to, false);
      stack.push({ node: edge.to, next: 0 });
    }
  }
  order.reverse();

  const numbers = new Map(order.map((node, number) => [node, number]));
  const outgoing: number[][] = order.map(() => []);
  const kept: PrintedEdge[] = [];
  for (const [from, node] of order.entries()) {
    for (const edge of leaving[node]) {
      const to = numbers.get(edge.to);
      if (to !== undefined) outgoing[from].push(kept.push({ ...edge, from, to }) - 1);
    }
  }
  return { nodeCount: order.length, start: 0, end: order.length - 1, edges: kept, outgoing };
}

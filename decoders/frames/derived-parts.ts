import type { CodeGraph, CodeStep } from './code-graph.ts';
import type { EdgeOwner } from './printed-graph.ts';
import type { SlotScores } from './slot-scores.ts';

/**
 * Checksums and repeated fields say nothing new: their text follows from the rest of the frame. A search therefore
 * passes over each in one leap whose weight is the sum over all texts that might stand there; afterwards the one text
 * that the rest calls for is scored in its place.
 */
export interface Leap {
  readonly part: number;
  readonly fromSlot: number;
  readonly fromState: number;
  readonly toSlot: number;
  readonly toState: number;
  /** ln of the sum over all texts, each with its prior. */
  readonly logSum: number;
}

/** How a certain text fits into a leap. */
export interface DerivedFit {
  /** Log-likelihood with the text's prior taken out: the text was sure before. */
  readonly logLikelihood: number;
  /** Slot of each character of the text, on the best alignment. */
  readonly slots: readonly number[];
}

export type DerivedOwner = Extract<EdgeOwner, { kind: 'check' | 'again' }>;

/** The derived parts of one layout, by number. */
export class DerivedParts {
  readonly owners: readonly DerivedOwner[];
  /** Part that each printed edge belongs to; -1 for none. */
  readonly partOfEdge: Int32Array;
  private readonly graph: CodeGraph;
  /** Whether a walk inside a part may stop at this node, by `part * nodeCount + node`. */
  private readonly leaves: Uint8Array;

  constructor(graph: CodeGraph) {
    this.graph = graph;
    const { edges, nodeCount, outgoing, end } = graph.printed;
    const owners: DerivedOwner[] = [];
    const numbers = new Map<EdgeOwner, number>();
    this.partOfEdge = new Int32Array(edges.length).fill(-1);
    edges.forEach((edge, i) => {
      const { owner } = edge;
      if (owner.kind !== 'check' && owner.kind !== 'again') return;
      let number = numbers.get(owner);
      if (number === undefined) {
        number = owners.push(owner) - 1;
        numbers.set(owner, number);
      }
      this.partOfEdge[i] = number;
    });
    this.owners = owners;
    this.leaves = new Uint8Array(owners.length * nodeCount);
    for (let part = 0; part < owners.length; part++) {
      for (let node = 0; node < nodeCount; node++) {
        const goesOn = outgoing[node].some((edge) => this.partOfEdge[edge] !== part);
        if (goesOn || node === end) this.leaves[part * nodeCount + node] = 1;
      }
    }
  }

  partOf(step: CodeStep): number {
    return step.edge === null ? -1 : this.partOfEdge[step.edge];
  }

  /** Whether a walk inside a part may stop at this state. */
  mayLeave(part: number, state: number): boolean {
    return this.leaves[part * this.graph.printed.nodeCount + this.graph.nodeOfState[state]] === 1;
  }

  /** All ways through `part` from this slot and state. */
  leaps(part: number, fromSlot: number, fromState: number, toSlot: number, scores: SlotScores): Leap[] {
    const { graph } = this;
    const leaps: Leap[] = [];
    let here = new Map<number, number>([[fromState, 1]]);
    for (let slot = fromSlot; slot < toSlot && here.size > 0; slot++) {
      const next = new Map<number, number>();
      const arrived = new Map<number, number>();
      for (const [state, mass] of here) {
        for (const index of graph.outgoing[state]) {
          const step = graph.steps[index];
          const inPart = this.partOf(step) === part;
          if (!inPart && (step.edge !== null || slot === fromSlot)) continue;
          const weight = mass * Math.exp(step.logWeight) * scores.sumOf(slot, graph.sets[step.set]);
          if (weight < 1e-280) continue;
          next.set(step.to, (next.get(step.to) ?? 0) + weight);
          if (inPart && this.mayLeave(part, step.to)) arrived.set(step.to, (arrived.get(step.to) ?? 0) + weight);
        }
      }
      for (const [toState, mass] of arrived) {
        leaps.push({ part, fromSlot, fromState, toSlot: slot + 1, toState, logSum: Math.log(mass) });
      }
      here = this.stillInside(part, next);
    }
    return leaps;
  }

  /** Scores one text inside a leap; null when it cannot stand there. */
  fit(leap: Leap, text: string, scores: SlotScores): DerivedFit | null {
    const { graph } = this;
    // By state and characters done: probability so far, and the slots of the likeliest alignment.
    let here = new Map<string, Alignment>([['', { state: leap.fromState, done: 0, mass: 1, best: 1, slots: [] }]]);
    for (let slot = leap.fromSlot; slot < leap.toSlot; slot++) {
      const next = new Map<string, Alignment>();
      for (const alignment of here.values()) {
        for (const index of graph.outgoing[alignment.state]) {
          const step = graph.steps[index];
          const inPart = this.partOf(step) === leap.part;
          if (!inPart && (step.edge !== null || slot === leap.fromSlot)) continue;
          const set = graph.sets[step.set];
          const at = inPart ? set.characters.indexOf(text[alignment.done]) : -1;
          if (inPart && at < 0) continue;
          const likelihood = inPart ? scores.likelihood(slot, set.codes[at]) : scores.sumOf(slot, set);
          const weight = Math.exp(step.logWeight) * likelihood;
          const done = alignment.done + (inPart ? 1 : 0);
          addAlignment(next, {
            state: step.to,
            done,
            mass: alignment.mass * weight,
            best: alignment.best * weight,
            slots: inPart ? [...alignment.slots, slot] : alignment.slots,
          });
        }
      }
      here = next;
    }
    let fit: Alignment | null = null;
    for (const alignment of here.values()) {
      if (alignment.state === leap.toState && alignment.done === text.length) fit = alignment;
    }
    if (!fit || fit.mass <= 0) return null;
    return {
      logLikelihood: Math.log(fit.mass) + this.surprise(leap.part, this.graph.nodeOfState[leap.fromState], text),
      slots: fit.slots,
    };
  }

  /** The text that was received in a leap, whatever the rest of the frame says; '' when nothing fits. */
  received(leap: Leap, scores: SlotScores): { readonly text: string; readonly slots: readonly number[] } {
    const { graph } = this;
    let here = new Map<number, { score: number; text: string; slots: readonly number[] }>([
      [leap.fromState, { score: 0, text: '', slots: [] }],
    ]);
    for (let slot = leap.fromSlot; slot < leap.toSlot; slot++) {
      const next: typeof here = new Map();
      for (const [state, path] of here) {
        for (const index of graph.outgoing[state]) {
          const step = graph.steps[index];
          const inPart = this.partOf(step) === leap.part;
          if (!inPart && (step.edge !== null || slot === leap.fromSlot)) continue;
          const set = graph.sets[step.set];
          for (let i = 0; i < Math.max(1, set.codes.length); i++) {
            const emission = scores.ofSet(slot, set, i);
            const score = path.score + step.logWeight + emission;
            const known = next.get(step.to);
            if (known && known.score >= score) continue;
            next.set(step.to, {
              score,
              text: inPart ? path.text + set.characters[i] : path.text,
              slots: inPart ? [...path.slots, slot] : path.slots,
            });
          }
        }
      }
      here = next;
    }
    return here.get(leap.toState) ?? { text: '', slots: [] };
  }

  /** ln of how many texts compete in a part of this length: what knowing the text beforehand is worth at most. */
  surprise(part: number, fromNode: number, text: string): number {
    const { edges } = this.graph.printed;
    let sum = 0;
    let node = fromNode;
    for (const character of text) {
      const next = this.graph.printed.outgoing[node].find(
        (edge) => this.partOfEdge[edge] === part && edges[edge].characters.includes(character),
      );
      if (next === undefined) break;
      sum += Math.log(edges[next].characters.length);
      node = edges[next].to;
    }
    return sum;
  }

  private stillInside(part: number, states: Map<number, number>): Map<number, number> {
    const inside = new Map<number, number>();
    for (const [state, mass] of states) {
      const node = this.graph.nodeOfState[state];
      if (this.graph.printed.outgoing[node].some((edge) => this.partOfEdge[edge] === part)) inside.set(state, mass);
    }
    return inside;
  }
}

interface Alignment {
  readonly state: number;
  readonly done: number;
  readonly mass: number;
  readonly best: number;
  readonly slots: readonly number[];
}

function addAlignment(into: Map<string, Alignment>, alignment: Alignment): void {
  if (alignment.mass <= 0) return;
  const key = `${alignment.state},${alignment.done}`;
  const known = into.get(key);
  if (!known) {
    into.set(key, alignment);
    return;
  }
  const better = alignment.best > known.best ? alignment : known;
  into.set(key, { ...better, mass: known.mass + alignment.mass });
}

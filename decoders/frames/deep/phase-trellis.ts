import { ELEMENTS_PER_SLOT } from '../../teletype/soft-characters.ts';
import type { CodeGraph } from '../code-graph.ts';
import { logAdd } from '../total-mass.ts';
import type { ElementWeights } from './element-weights.ts';
import { type PhaseModel, type PhaseTurn, phaseTurn } from './phase-model.ts';
import type { CodeTree } from './sender-paths.ts';

const DEPTH = 5;
/** e to more than this is no number any more. */
const MOST_EXPONENT = 700;

/** Gets a step, the code keyed for it, and the vector behind it (`bins` numbers of `vector` from `at`). */
export type Arrive = (step: number, code: number, vector: Float64Array, at: number) => void;

/**
 * The layout and the phase together, walked forwards or backwards over the slots of a burst. A place is (slot, state,
 * phase bin); the vectors over phase bins are what makes a wrong element be contradicted by all that follow.
 */
export class PhaseTrellis {
  readonly graph: CodeGraph;
  readonly trees: readonly (CodeTree | null)[];
  readonly weights: ElementWeights;
  readonly bins: number;
  private readonly model: PhaseModel;
  private readonly turnsPerSpace: number;
  private readonly markTurn: PhaseTurn;
  private readonly spaceTurn: PhaseTurn;
  /** One vector for each depth of the element tree. */
  private readonly stack: Float64Array;
  private readonly scratch: Float64Array;

  constructor(
    graph: CodeGraph,
    trees: readonly (CodeTree | null)[],
    weights: ElementWeights,
    model: PhaseModel,
    turnsPerSpace: number,
  ) {
    this.graph = graph;
    this.trees = trees;
    this.weights = weights;
    this.bins = weights.bins;
    this.model = model;
    this.turnsPerSpace = turnsPerSpace;
    this.markTurn = phaseTurn(this.bins, 0, model.diffusion);
    this.spaceTurn = phaseTurn(this.bins, turnsPerSpace, model.diffusion);
    this.stack = new Float64Array((DEPTH + 3) * this.bins);
    this.scratch = new Float64Array(this.bins);
  }

  /** The evidence of another layout in the same signal. */
  evidenceOf(graph: CodeGraph, trees: readonly (CodeTree | null)[]): number {
    return new PhaseTrellis(graph, trees, this.weights, this.model, this.turnsPerSpace).evidence();
  }

  /** ln of the evidence of all frames of the layout that begin in slot 0, over random keying. */
  evidence(): number {
    const { bins, graph, weights } = this;
    let here = new Float64Array(graph.stateCount * bins);
    let next = new Float64Array(here.length);
    let active = new Set<number>();
    for (const start of graph.starts) {
      here.fill(1 / bins / graph.starts.length, start * bins, (start + 1) * bins);
      active.add(start);
    }
    let scale = 0;
    let ended = Number.NEGATIVE_INFINITY;
    for (let slot = 0; slot < weights.slots && active.size > 0; slot++) {
      const reached = new Set<number>();
      for (const state of active) {
        this.forward(slot, state, here, state * bins, (step, _, vector, at) => {
          const { to, logWeight } = graph.steps[step];
          if (!reached.has(to)) {
            next.fill(0, to * bins, (to + 1) * bins);
            reached.add(to);
          }
          addScaled(next, to * bins, vector, at, Math.exp(logWeight), bins);
        });
      }
      let most = 0;
      for (const state of reached) for (let b = 0; b < bins; b++) most = Math.max(most, next[state * bins + b]);
      if (most === 0) break;
      for (const state of reached) for (let b = 0; b < bins; b++) next[state * bins + b] /= most;
      scale += Math.log(most);
      for (const end of graph.ends) {
        if (!reached.delete(end)) continue;
        let sum = 0;
        for (let b = 0; b < bins; b++) sum += next[end * bins + b];
        ended = logAdd(ended, Math.log(sum) + scale);
      }
      [here, next] = [next, here];
      active = reached;
    }
    return ended;
  }

  /**
   * Walks one state's codes through one slot: `arrive` gets each step with the vector after its stop element, valid only
   * during the call. `from` holds the state's vector at `fromAt`.
   */
  forward(slot: number, state: number, from: Float64Array, fromAt: number, arrive: Arrive): void {
    const tree = this.trees[state];
    if (!tree) return;
    this.advance(from, fromAt, this.stack, 0, slot, 0, false, true);
    this.descend(tree, 0, 0, 0, slot, false, arrive);
  }

  private descend(
    tree: CodeTree,
    node: number,
    depth: number,
    code: number,
    slot: number,
    markBefore: boolean,
    arrive: Arrive,
  ): void {
    const { bins, stack } = this;
    if (depth === DEPTH) {
      const at = (DEPTH + 1) * bins;
      this.advance(stack, depth * bins, stack, at, slot, ELEMENTS_PER_SLOT - 1, true, markBefore);
      for (const step of tree.steps[node]) arrive(step, code, stack, at);
      return;
    }
    const space = tree.spaceChild[node];
    if (space >= 0) {
      this.advance(stack, depth * bins, stack, (depth + 1) * bins, slot, depth + 1, false, markBefore);
      this.descend(tree, space, depth + 1, code, slot, false, arrive);
    }
    const mark = tree.markChild[node];
    if (mark >= 0) {
      this.advance(stack, depth * bins, stack, (depth + 1) * bins, slot, depth + 1, true, markBefore);
      this.descend(tree, mark, depth + 1, code | (1 << depth), slot, true, arrive);
    }
  }

  /** One certain code: the vector before its start element is replaced by the one behind its stop element. */
  keyCode(slot: number, code: number, vector: Float64Array): void {
    this.advance(vector, 0, vector, 0, slot, 0, false, true);
    let markBefore = false;
    for (let bit = 0; bit < DEPTH; bit++) {
      const isMark = ((code >> bit) & 1) === 1;
      this.advance(vector, 0, vector, 0, slot, bit + 1, isMark, markBefore);
      markBefore = isMark;
    }
    this.advance(vector, 0, vector, 0, slot, ELEMENTS_PER_SLOT - 1, true, markBefore);
  }

  /** One element: weigh each phase by how well it explains the signal, then let the phase move on. */
  private advance(
    from: Float64Array,
    fromAt: number,
    to: Float64Array,
    toAt: number,
    slot: number,
    element: number,
    isMark: boolean,
    markBefore: boolean,
  ): void {
    const { bins, scratch } = this;
    const weight = isMark ? this.weights.mark : this.weights.space;
    const row = (slot * ELEMENTS_PER_SLOT + element) * bins;
    const slip = this.slipAt(isMark, markBefore);
    let mean = 0;
    if (slip > 0) {
      for (let b = 0; b < bins; b++) mean += from[fromAt + b];
      mean *= slip / bins;
    }
    const kept = 1 - slip;
    for (let b = 0; b < bins; b++) scratch[b] = (kept * from[fromAt + b] + mean) * weight[row + b];
    turnForward(scratch, to, toAt, isMark ? this.markTurn : this.spaceTurn, bins);
  }

  private slipAt(isMark: boolean, markBefore: boolean): number {
    return this.model.lostAtChange && isMark !== markBefore ? 1 : this.model.slip;
  }

  /**
   * For every slot and state, the evidence of all that may follow, by phase: `value[(slot * stateCount + state) * bins + b]`
   * times exp(`scale[slot]`).
   */
  backward(): { readonly value: Float64Array; readonly scale: Float64Array } {
    const { bins, graph, weights } = this;
    const { stateCount } = graph;
    const value = new Float64Array((weights.slots + 1) * stateCount * bins);
    const scale = new Float64Array(weights.slots + 1);
    const vector = new Float64Array((DEPTH + 2) * bins);
    const reached = this.statesBySlot();
    for (let slot = weights.slots; slot >= 0; slot--) {
      const row = slot * stateCount * bins;
      if (slot < weights.slots) {
        scale[slot] = scale[slot + 1];
        const after = row + stateCount * bins;
        for (const state of reached[slot]) {
          const tree = this.trees[state];
          if (!tree) continue;
          this.gather(tree, 0, 0, slot, false, value, after, vector);
          this.retreat(vector, 0, value, row + state * bins, slot, 0, false, true);
        }
        let most = 0;
        for (let i = row; i < after; i++) if (value[i] > most) most = value[i];
        if (most > 0) {
          for (let i = row; i < after; i++) value[i] /= most;
          scale[slot] += Math.log(most);
        }
      }
      const one = Math.exp(Math.min(MOST_EXPONENT, -scale[slot]));
      for (const end of graph.ends) for (let b = 0; b < bins; b++) value[row + end * bins + b] = one;
    }
    return { value, scale };
  }

  /** States that some frame passes, by slot. */
  private statesBySlot(): ReadonlySet<number>[] {
    const reached: Set<number>[] = [new Set(this.graph.starts)];
    for (let slot = 0; slot < this.weights.slots; slot++) {
      const next = new Set<number>();
      for (const state of reached[slot]) {
        for (const steps of this.trees[state]?.steps ?? [])
          for (const step of steps) next.add(this.graph.steps[step].to);
      }
      reached.push(next);
    }
    return reached;
  }

  /** Value of a tree node before its children's elements, into `vector` at its depth. */
  private gather(
    tree: CodeTree,
    node: number,
    depth: number,
    slot: number,
    markBefore: boolean,
    value: Float64Array,
    after: number,
    vector: Float64Array,
  ): void {
    const { bins } = this;
    const at = depth * bins;
    if (depth === DEPTH) {
      const sum = new Float64Array(bins);
      for (const index of tree.steps[node]) {
        const { to, logWeight } = this.graph.steps[index];
        addScaled(sum, 0, value, after + to * bins, Math.exp(logWeight), bins);
      }
      this.retreat(sum, 0, vector, at, slot, ELEMENTS_PER_SLOT - 1, true, markBefore);
      return;
    }
    const total = new Float64Array(bins);
    for (const isMark of [false, true]) {
      const child = isMark ? tree.markChild[node] : tree.spaceChild[node];
      if (child < 0) continue;
      this.gather(tree, child, depth + 1, slot, isMark, value, after, vector);
      const part = new Float64Array(bins);
      this.retreat(vector, at + bins, part, 0, slot, depth + 1, isMark, markBefore);
      for (let b = 0; b < bins; b++) total[b] += part[b];
    }
    vector.set(total, at);
  }

  /** `advance` the other way round. */
  private retreat(
    from: Float64Array,
    fromAt: number,
    to: Float64Array,
    toAt: number,
    slot: number,
    element: number,
    isMark: boolean,
    markBefore: boolean,
  ): void {
    const { bins, scratch } = this;
    const weight = isMark ? this.weights.mark : this.weights.space;
    const row = (slot * ELEMENTS_PER_SLOT + element) * bins;
    turnBackward(from, fromAt, scratch, isMark ? this.markTurn : this.spaceTurn, bins);
    const slip = this.slipAt(isMark, markBefore);
    let mean = 0;
    for (let b = 0; b < bins; b++) {
      scratch[b] *= weight[row + b];
      mean += scratch[b];
    }
    mean *= slip / bins;
    for (let b = 0; b < bins; b++) to[toAt + b] = (1 - slip) * scratch[b] + mean;
  }
}

function turnForward(from: Float64Array, to: Float64Array, toAt: number, turn: PhaseTurn, bins: number): void {
  const { before, same, after } = turn;
  for (let b = 0; b < bins; b++) {
    const low = b === 0 ? bins - 1 : b - 1;
    const high = b === bins - 1 ? 0 : b + 1;
    let target = b + turn.bins;
    if (target >= bins) target -= bins;
    // Bin `target` takes what was one bin lower and moved one more, and so on.
    to[toAt + target] = after * from[low] + same * from[b] + before * from[high];
  }
}

function turnBackward(from: Float64Array, fromAt: number, to: Float64Array, turn: PhaseTurn, bins: number): void {
  const { before, same, after } = turn;
  for (let b = 0; b < bins; b++) {
    let target = b + turn.bins;
    if (target >= bins) target -= bins;
    const low = target === 0 ? bins - 1 : target - 1;
    const high = target === bins - 1 ? 0 : target + 1;
    to[b] = before * from[fromAt + low] + same * from[fromAt + target] + after * from[fromAt + high];
  }
}

function addScaled(
  to: Float64Array,
  toAt: number,
  from: Float64Array,
  fromAt: number,
  factor: number,
  count: number,
): void {
  for (let i = 0; i < count; i++) to[toAt + i] += factor * from[fromAt + i];
}

import type { CodeGraph } from './code-graph.ts';
import type { SlotScores } from './slot-scores.ts';

/** Slots of a burst in which to look, and whether the sender may have begun before or gone on after them. */
export interface Region {
  readonly from: number;
  readonly to: number;
  readonly cutBefore: boolean;
  readonly cutAfter: boolean;
}

/** The best stretch of a region for one layout. */
export interface Span {
  /** Log-likelihood over text without layout, priors included. */
  readonly score: number;
  readonly from: number;
  readonly to: number;
  /** False when the layout's beginning lies before the region. */
  readonly startsWhole: boolean;
  readonly endsWhole: boolean;
}

/** A frame cut by the recording's edge is less usual than a whole one. */
const CUT_PENALTY = 3;

/** Log-prior of entering or leaving a layout at one certain state because the burst was cut there. */
export function cutWeight(graph: CodeGraph): number {
  return -CUT_PENALTY - Math.log(graph.stateCount);
}

/** Finds the likeliest single frame of a layout in a region (Viterbi); null when the region is empty. */
export function scanForFrame(graph: CodeGraph, scores: SlotScores, region: Region): Span | null {
  const { stateCount, sets } = graph;
  const { count, from, to, set: setOf, logWeight } = graph.columns;
  let here = new Float64Array(stateCount).fill(Number.NEGATIVE_INFINITY);
  let next = new Float64Array(stateCount);
  // Slot where the path into each state began; negative (-1 - slot) when it began inside the layout.
  let began = new Int32Array(stateCount);
  let nextBegan = new Int32Array(stateCount);
  const startWeight = -Math.log(Math.max(1, region.to - region.from)) - Math.log(graph.starts.length);
  const cut = cutWeight(graph);
  const emission = new Float64Array(sets.length);
  let best: Span | null = null;
  for (let slot = region.from; slot < region.to; slot++) {
    if (slot === region.from && region.cutBefore) {
      here.fill(cut);
      began.fill(-1 - slot);
    }
    for (const start of graph.starts) {
      if (startWeight <= here[start]) continue;
      here[start] = startWeight;
      began[start] = slot;
    }
    for (let set = 0; set < sets.length; set++) emission[set] = scores.maxOf(slot, sets[set]);
    next.fill(Number.NEGATIVE_INFINITY);
    for (let i = 0; i < count; i++) {
      const score = here[from[i]] + logWeight[i] + emission[setOf[i]];
      if (score <= next[to[i]]) continue;
      next[to[i]] = score;
      nextBegan[to[i]] = began[from[i]];
    }
    [here, next] = [next, here];
    [began, nextBegan] = [nextBegan, began];
    for (const end of graph.ends) best = better(best, here[end], began[end], slot + 1, true);
  }
  if (region.cutAfter) {
    for (let state = 0; state < stateCount; state++) {
      best = better(best, here[state] + cut, began[state], region.to, false);
    }
  }
  return best;
}

function better(best: Span | null, score: number, began: number, to: number, endsWhole: boolean): Span | null {
  if (score === Number.NEGATIVE_INFINITY || (best && score <= best.score)) return best;
  const startsWhole = began >= 0;
  return { score, from: startsWhole ? began : -1 - began, to, startsWhole, endsWhole };
}

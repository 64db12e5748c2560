import type { CodeGraph } from './code-graph.ts';
import { cutWeight, type Region, type Span } from './scan.ts';
import type { SlotScores } from './slot-scores.ts';

/**
 * ln of the likelihood of a region under a layout, summed over everything the layout can print, wherever the frame
 * begins and ends in the region (forward algorithm), over that of text without layout.
 */
export function totalMass(
  graph: CodeGraph,
  scores: SlotScores,
  region: Region,
  whole: Pick<Span, 'startsWhole' | 'endsWhole'>,
): number {
  const { stateCount, sets } = graph;
  const { count, from, to, set: setOf, weight } = graph.columns;
  let here = new Float64Array(stateCount);
  let next = new Float64Array(stateCount);
  const emission = new Float64Array(sets.length);
  const startMass = 1 / (Math.max(1, region.to - region.from) * graph.starts.length);
  const cutMass = Math.exp(cutWeight(graph));
  // Masses are kept as value times exp(scale); the end mass has a scale of its own.
  let scale = 0;
  let ended = Number.NEGATIVE_INFINITY;
  if (!whole.startsWhole) here.fill(cutMass);
  for (let slot = region.from; slot < region.to; slot++) {
    if (whole.startsWhole) for (const start of graph.starts) here[start] += startMass * Math.exp(-scale);
    for (let set = 0; set < sets.length; set++) emission[set] = scores.sumOf(slot, sets[set]);
    next.fill(0);
    for (let i = 0; i < count; i++) {
      const mass = here[from[i]];
      if (mass > 0) next[to[i]] += mass * weight[i] * emission[setOf[i]];
    }
    [here, next] = [next, here];
    let most = 0;
    for (let state = 0; state < stateCount; state++) if (here[state] > most) most = here[state];
    if (most > 0) {
      for (let state = 0; state < stateCount; state++) here[state] /= most;
      scale += Math.log(most);
    }
    if (whole.endsWhole) for (const end of graph.ends) ended = logAdd(ended, Math.log(here[end]) + scale);
  }
  if (!whole.endsWhole) {
    let sum = 0;
    for (let state = 0; state < stateCount; state++) sum += here[state] * cutMass;
    ended = logAdd(ended, Math.log(sum) + scale);
  }
  return ended;
}

export function logAdd(a: number, b: number): number {
  if (a === Number.NEGATIVE_INFINITY) return b;
  if (b === Number.NEGATIVE_INFINITY) return a;
  return a > b ? a + Math.log1p(Math.exp(b - a)) : b + Math.log1p(Math.exp(a - b));
}

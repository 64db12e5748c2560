import type { CodeGraph, CodeStep } from './code-graph.ts';
import type { DerivedParts, Leap } from './derived-parts.ts';
import { cutWeight, type Region, type Span } from './scan.ts';
import type { SlotScores } from './slot-scores.ts';

/** One printed character of a candidate. */
export interface CandidateCharacter {
  readonly kind: 'character';
  readonly edge: number;
  readonly text: string;
  readonly slot: number;
}

export interface CandidateLeap {
  readonly kind: 'leap';
  readonly leap: Leap;
}

/** One reading of a frame: its characters in order, derived parts left open. */
export interface Candidate {
  /** ln of prior times likelihood, derived parts summed over all their texts. */
  readonly logWeight: number;
  readonly items: readonly (CandidateCharacter | CandidateLeap)[];
  readonly fromSlot: number;
  readonly toSlot: number;
}

export interface CandidateSearch {
  readonly graph: CodeGraph;
  readonly parts: DerivedParts;
  readonly scores: SlotScores;
  /** Where the frame may begin and end. */
  readonly region: Region;
  readonly span: Span;
}

/** A candidate so much less likely than the best (in nats) can wait for the sum over what is not listed. */
const LEAST_WEIGHT = 20;
const MOST_PUSHES = 120_000;

/**
 * The most likely readings of one frame, best first: A* over slots and states with the exact best remainder as
 * heuristic, so that nothing better is ever missed. A frame cut by the recording's edge is read with its derived parts
 * as plain text, since what they follow from is not all there.
 */
export function listCandidates(search: CandidateSearch): Generator<Candidate, void, void> {
  return new Lattice(search).list();
}

class Lattice {
  private readonly graph: CodeGraph;
  private readonly parts: DerivedParts;
  private readonly scores: SlotScores;
  private readonly region: Region;
  private readonly whole: boolean;
  private readonly span: Span;
  /** Best score from (slot, state) to an end, by `(slot - from) * stateCount + state`. */
  private readonly rest: Float64Array;
  /** 1 where some path worth listing may pass, by the same index. */
  private readonly useful: Uint8Array;
  private readonly leapsAt = new Map<number, readonly Leap[]>();

  constructor(search: CandidateSearch) {
    this.graph = search.graph;
    this.parts = search.parts;
    this.scores = search.scores;
    this.region = search.region;
    this.span = search.span;
    this.whole = search.span.startsWhole && search.span.endsWhole;
    const slots = this.region.to - this.region.from;
    this.rest = new Float64Array((slots + 1) * this.graph.stateCount).fill(Number.NEGATIVE_INFINITY);
    this.useful = new Uint8Array(this.rest.length);
    this.markUseful();
    this.fillRest();
  }

  /**
   * Forward pass with an upper bound of what the remaining slots can still add: places that no path worth listing can
   * pass are left alone, which spares most leaps.
   */
  private markUseful(): void {
    const { graph, scores, useful } = this;
    const { from, to } = this.region;
    const { stateCount, sets } = graph;
    const columns = graph.columns;
    const promise = new Float64Array(to - from + 1);
    for (let slot = to - 1; slot >= from; slot--) {
      promise[slot - from] = promise[slot - from + 1] + Math.max(0, scores.best[slot]);
    }
    const floor = this.span.score - LEAST_WEIGHT - 2;
    let here = new Float64Array(stateCount).fill(Number.NEGATIVE_INFINITY);
    let next = new Float64Array(stateCount);
    const emission = new Float64Array(sets.length);
    if (!this.span.startsWhole) here.fill(cutWeight(graph));
    for (let slot = from; slot <= to; slot++) {
      if (this.span.startsWhole) for (const start of graph.starts) here[start] = Math.max(here[start], 0);
      const row = (slot - from) * stateCount;
      const least = floor - promise[slot - from];
      for (let state = 0; state < stateCount; state++) if (here[state] >= least) useful[row + state] = 1;
      if (slot === to) break;
      for (let set = 0; set < sets.length; set++) emission[set] = scores.maxOf(slot, sets[set]);
      next.fill(Number.NEGATIVE_INFINITY);
      for (let i = 0; i < columns.count; i++) {
        const score = here[columns.from[i]] + columns.logWeight[i] + emission[columns.set[i]];
        if (score > next[columns.to[i]]) next[columns.to[i]] = score;
      }
      [here, next] = [next, here];
    }
  }

  private fillRest(): void {
    const { graph, rest, scores } = this;
    const { from, to } = this.region;
    const { stateCount, sets, columns } = graph;
    const emission = new Float64Array(sets.length);
    for (let slot = to; slot >= from; slot--) {
      const row = (slot - from) * stateCount;
      if (this.span.endsWhole) for (const end of graph.ends) rest[row + end] = 0;
      else if (slot === to) rest.fill(cutWeight(graph), row, row + stateCount);
      if (slot === to) continue;
      for (let set = 0; set < sets.length; set++) emission[set] = scores.maxOf(slot, sets[set]);
      const after = row + stateCount;
      for (let i = 0; i < columns.count; i++) {
        const state = columns.from[i];
        if (this.useful[row + state] === 0) continue;
        if (this.whole && this.parts.partOf(graph.steps[i]) >= 0) {
          this.leapsFrom(slot, state);
          continue;
        }
        const score = columns.logWeight[i] + emission[columns.set[i]] + rest[after + columns.to[i]];
        if (score > rest[row + state]) rest[row + state] = score;
      }
    }
  }

  /** Leaps from a place, found when first asked for; counts them into `rest` there. */
  private leapsFrom(slot: number, state: number): readonly Leap[] {
    const key = (slot - this.region.from) * this.graph.stateCount + state;
    const known = this.leapsAt.get(key);
    if (known) return known;
    const leaps: Leap[] = [];
    const seen = new Set<number>();
    for (const index of this.graph.outgoing[state]) {
      const part = this.parts.partOf(this.graph.steps[index]);
      if (part < 0 || seen.has(part) || this.insidePart(part, state)) continue;
      seen.add(part);
      leaps.push(...this.parts.leaps(part, slot, state, this.region.to, this.scores));
    }
    this.leapsAt.set(key, leaps);
    for (const leap of leaps) {
      const score = leap.logSum + this.restAt(leap.toSlot, leap.toState);
      if (score > this.rest[key]) this.rest[key] = score;
    }
    return leaps;
  }

  /** A state that only a leap's inside reaches is no place to leap from. */
  private insidePart(part: number, state: number): boolean {
    const node = this.graph.nodeOfState[state];
    let inside = false;
    this.graph.printed.edges.forEach((edge, i) => {
      if (edge.to === node && this.parts.partOfEdge[i] === part) inside = true;
    });
    return inside;
  }

  private restAt(slot: number, state: number): number {
    return this.rest[(slot - this.region.from) * this.graph.stateCount + state];
  }

  *list(): Generator<Candidate, void, void> {
    const open = new Open();
    this.pushStarts(open);
    let floor = Number.NEGATIVE_INFINITY;
    let pushes = 0;
    for (let path = open.pop(); path && path.total >= floor && pushes <= MOST_PUSHES; path = open.pop()) {
      if (this.isEnd(path)) {
        if (floor === Number.NEGATIVE_INFINITY) floor = path.total - LEAST_WEIGHT;
        yield this.candidate(path);
        continue;
      }
      if (path.slot >= this.region.to) continue;
      for (const index of this.graph.outgoing[path.state]) {
        const step = this.graph.steps[index];
        if (this.whole && this.parts.partOf(step) >= 0) continue;
        pushes += this.pushStep(open, path, step, floor);
      }
      if (!this.whole) continue;
      for (const leap of this.leapsFrom(path.slot, path.state)) {
        const score = path.score + leap.logSum;
        const total = score + this.restAt(leap.toSlot, leap.toState);
        if (total < floor) continue;
        const item: CandidateLeap = { kind: 'leap', leap };
        open.push({ slot: leap.toSlot, state: leap.toState, score, total, from: path, item, began: path.began });
        pushes++;
      }
    }
  }

  private pushStarts(open: Open): void {
    const { graph, region } = this;
    if (!this.span.startsWhole) {
      const score = cutWeight(graph);
      for (let state = 0; state < graph.stateCount; state++) this.pushStart(open, region.from, state, score);
      return;
    }
    const score = -Math.log(Math.max(1, region.to - region.from)) - Math.log(graph.starts.length);
    for (let slot = region.from; slot < region.to; slot++) {
      for (const state of graph.starts) this.pushStart(open, slot, state, score);
    }
  }

  private pushStart(open: Open, slot: number, state: number, score: number): void {
    const total = score + this.restAt(slot, state);
    if (total === Number.NEGATIVE_INFINITY) return;
    open.push({ slot, state, score, total, from: null, item: null, began: slot });
  }

  private pushStep(open: Open, path: Path, step: CodeStep, floor: number): number {
    const set = this.graph.sets[step.set];
    const restAfter = this.restAt(path.slot + 1, step.to);
    const base = path.score + step.logWeight;
    let pushed = 0;
    for (let i = 0; i < Math.max(1, set.codes.length); i++) {
      const score = base + this.scores.ofSet(path.slot, set, i);
      const total = score + restAfter;
      if (total < floor || total === Number.NEGATIVE_INFINITY) continue;
      const item: CandidateCharacter | null =
        step.edge === null ? null : { kind: 'character', edge: step.edge, text: set.characters[i], slot: path.slot };
      open.push({ slot: path.slot + 1, state: step.to, score, total, from: path, item, began: path.began });
      pushed++;
    }
    return pushed;
  }

  private isEnd(path: Path): boolean {
    if (this.span.endsWhole) return this.graph.ends.includes(path.state);
    return path.slot === this.region.to;
  }

  private candidate(path: Path): Candidate {
    const items: (CandidateCharacter | CandidateLeap)[] = [];
    for (let at: Path | null = path; at; at = at.from) if (at.item) items.push(at.item);
    return { logWeight: path.total, items: items.reverse(), fromSlot: path.began, toSlot: path.slot };
  }
}

interface Path {
  readonly slot: number;
  readonly state: number;
  readonly score: number;
  readonly total: number;
  readonly from: Path | null;
  readonly item: CandidateCharacter | CandidateLeap | null;
  readonly began: number;
}

/** Binary heap, largest total on top. */
class Open {
  private readonly heap: Path[] = [];

  push(path: Path): void {
    const { heap } = this;
    let i = heap.push(path) - 1;
    while (i > 0) {
      const parent = (i - 1) >> 1;
      if (heap[parent].total >= path.total) break;
      heap[i] = heap[parent];
      i = parent;
    }
    heap[i] = path;
  }

  pop(): Path | undefined {
    const { heap } = this;
    const top = heap[0];
    const last = heap.pop();
    if (last === undefined || heap.length === 0) return top;
    let i = 0;
    for (;;) {
      let child = 2 * i + 1;
      if (child >= heap.length) break;
      if (child + 1 < heap.length && heap[child + 1].total > heap[child].total) child++;
      if (heap[child].total <= last.total) break;
      heap[i] = heap[child];
      i = child;
    }
    heap[i] = last;
    return top;
  }
}

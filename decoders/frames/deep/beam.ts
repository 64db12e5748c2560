import type { Candidate, CandidateCharacter, CandidateLeap } from '../candidates.ts';
import type { CompiledLayout } from '../compiled-mission.ts';
import { derivedTexts, type WrittenCandidate, type WrittenCharacter } from '../write-candidate.ts';
import { type Ahead, type PhaseTrellis, sumOf } from './phase-trellis.ts';

/** Readings kept from slot to slot: more than this gains nothing. */
const KEPT = 500;
/** A reading so much less likely than the best is let go even where there is room. */
const LEAST_SHARE = Math.exp(-22);

export interface BeamResult {
  /** ln of the evidence of all frames, over random keying. */
  readonly free: number;
  readonly candidates: readonly WrittenCandidate[];
}

/**
 * The likeliest readings of a frame that begins in slot 0. Each survivor carries its phase vector, and is ranked by that
 * vector times the evidence of all that may follow (from a backward pass): the exact share of its beginning in the
 * whole burst. What is let go is known exactly, too, as the total less the shares kept.
 */
export function beam(layout: CompiledLayout, trellis: PhaseTrellis): BeamResult {
  return new Beam(layout, trellis).run();
}

interface Link {
  readonly move: number;
  readonly slot: number;
  readonly before: Link | null;
}

/** Readings of the slots so far; their vectors all count times exp(logScale). */
interface Survivors {
  readonly logScale: number;
  readonly states: readonly number[];
  readonly links: readonly (Link | null)[];
  /** `bins` numbers each. */
  readonly vectors: Float64Array;
}

class Beam {
  private readonly layout: CompiledLayout;
  private readonly trellis: PhaseTrellis;
  private readonly ahead: Ahead;
  private readonly free: number;
  private readonly found: WrittenCandidate[] = [];
  /** Mixed vectors of the survivors; and of each move, the evidence of all behind it. */
  private readonly mixed: Float64Array;
  private readonly behind: Float64Array;
  private readonly behindSlot: Int32Array;

  constructor(layout: CompiledLayout, trellis: PhaseTrellis) {
    const { bins, paths } = trellis;
    this.layout = layout;
    this.trellis = trellis;
    this.ahead = trellis.backward();
    this.mixed = new Float64Array(Math.max(KEPT, paths.graph.starts.length) * bins);
    this.behind = new Float64Array(paths.moves.code.length * bins);
    this.behindSlot = new Int32Array(paths.moves.code.length).fill(-1);
    const starts = this.starts();
    let total = 0;
    starts.states.forEach((state, i) => {
      total += this.valueOf(0, state, starts.vectors, i * bins);
    });
    this.free = Math.log(total) + this.ahead.scale[0];
  }

  run(): BeamResult {
    let survivors = this.starts();
    for (let slot = 0; slot <= this.trellis.slots && survivors.states.length > 0; slot++) {
      const going: number[] = [];
      survivors.states.forEach((_, i) => {
        if (!this.finish(slot, survivors, i)) going.push(i);
      });
      if (slot === this.trellis.slots) break;
      survivors = this.extend(slot, survivors, going);
    }
    return { free: this.free, candidates: this.found };
  }

  private starts(): Survivors {
    const { bins, paths } = this.trellis;
    const { starts } = paths.graph;
    const vectors = new Float64Array(starts.length * bins).fill(1 / bins / starts.length);
    return { logScale: 0, states: starts, links: starts.map(() => null), vectors };
  }

  /** A vector times the evidence of all that may follow it, which counts times exp(ahead.scale[slot]). */
  private valueOf(slot: number, state: number, vectors: Float64Array, at: number): number {
    const { bins, paths } = this.trellis;
    const row = (slot * paths.graph.stateCount + state) * bins;
    let sum = 0;
    for (let b = 0; b < bins; b++) sum += vectors[at + b] * this.ahead.value[row + b];
    return sum;
  }

  private extend(slot: number, survivors: Survivors, going: readonly number[]): Survivors {
    const { bins, paths } = this.trellis;
    const { firstMove, moves } = paths;
    const shares: number[] = [];
    const parents: number[] = [];
    const taken: number[] = [];
    const toShare = Math.exp(survivors.logScale + this.ahead.scale[slot + 1] - this.free);
    for (const i of going) {
      const state = survivors.states[i];
      this.trellis.mix(survivors.vectors, i * bins, this.mixed, i * bins);
      for (let move = firstMove[state]; move < firstMove[state + 1]; move++) {
        if (this.behindSlot[move] !== slot) {
          this.trellis.before(this.ahead, slot, move, this.behind, move * bins);
          this.behindSlot[move] = slot;
        }
        const share = toShare * dot(this.mixed, i * bins, this.behind, move * bins, bins);
        if (!(share >= LEAST_SHARE)) continue;
        shares.push(share);
        parents.push(i);
        taken.push(move);
      }
    }
    const least = shares.length <= KEPT ? 0 : Float64Array.from(shares).sort()[shares.length - KEPT];
    const kept = Array.from(shares.keys())
      .filter((k) => shares[k] >= least)
      .slice(0, KEPT);
    const vectors = new Float64Array(kept.length * bins);
    kept.forEach((k, n) => {
      const move = taken[k];
      this.trellis.key(slot, moves.code[move], moves.weight[move], this.mixed, parents[k] * bins, vectors, n * bins);
    });
    return {
      logScale: survivors.logScale + rescale(vectors),
      states: kept.map((k) => moves.to[taken[k]]),
      links: kept.map((k) => ({ move: taken[k], slot, before: survivors.links[parents[k]] })),
      vectors,
    };
  }

  /** Takes a survivor out when only its checksum, or nothing, is still to come. */
  private finish(slot: number, survivors: Survivors, index: number): boolean {
    const { paths } = this.trellis;
    const state = survivors.states[index];
    const part = paths.ends[state] === 1 ? null : this.partAhead(state);
    if (part !== null && part < 0) return false;
    this.found.push(this.written(survivors, index, slot, part));
    return true;
  }

  private partAhead(state: number): number {
    const { graph } = this.trellis.paths;
    for (const index of graph.outgoing[state]) {
      const part = this.layout.parts.partOf(graph.steps[index]);
      if (part >= 0) return part;
    }
    return -1;
  }

  private itemsOf(last: Link | null): CandidateCharacter[] {
    const { graph, moves } = this.trellis.paths;
    const items: CandidateCharacter[] = [];
    for (let link = last; link; link = link.before) {
      const step = graph.steps[moves.step[link.move]];
      if (step.edge === null) continue;
      const set = graph.sets[step.set];
      const text = set.characters[set.codes.indexOf(moves.code[link.move])];
      items.push({ kind: 'character', edge: step.edge, text, slot: link.slot });
    }
    return items.reverse();
  }

  private written(survivors: Survivors, index: number, slot: number, part: number | null): WrittenCandidate {
    const { bins, paths } = this.trellis;
    const fromState = survivors.states[index];
    const at = index * bins;
    const value = this.valueOf(slot, fromState, survivors.vectors, at);
    const logWeight = Math.log(value) + survivors.logScale + this.ahead.scale[slot];
    const items: (CandidateCharacter | CandidateLeap)[] = this.itemsOf(survivors.links[index]);
    let content = '';
    const characters: WrittenCharacter[] = [];
    for (const item of items) {
      if (item.kind !== 'character') continue;
      content += item.text;
      const { owner } = paths.graph.printed.edges[item.edge];
      characters.push({ character: item.text, owner, slot: item.slot, edge: item.edge });
    }
    const candidate: Candidate = { logWeight, items, fromSlot: 0, toSlot: slot };
    if (part === null) return { candidate, characters, content, logConsistent: logWeight, checked: false };
    const leap = { part, fromSlot: slot, fromState, toSlot: slot, toState: fromState, logSum: 0 };
    const leaping: Candidate = { ...candidate, items: [...items, { kind: 'leap', leap }] };
    const text = derivedTexts(this.layout, leaping).get(leap);
    const vector = survivors.vectors.slice(at, at + bins);
    const keyed = text === undefined ? null : this.keyDerived(vector, fromState, slot, part, text);
    const owner = this.layout.parts.owners[part];
    return {
      candidate: { ...leaping, toSlot: keyed?.slot ?? slot },
      characters: [
        ...characters,
        ...Array.from(text ?? '', (character, i) => ({ character, owner, slot: keyed?.slots[i] ?? slot, edge: null })),
      ],
      content,
      logConsistent: keyed === null ? Number.NEGATIVE_INFINITY : keyed.logWeight + survivors.logScale,
      checked: owner.kind === 'check',
    };
  }

  /** Keys the one text that the rest calls for; its likelihood counts, its prior does not: it was sure before. */
  private keyDerived(
    start: Float64Array,
    fromState: number,
    fromSlot: number,
    part: number,
    text: string,
  ): { readonly logWeight: number; readonly slot: number; readonly slots: readonly number[] } | null {
    const { paths, bins, slots: most } = this.trellis;
    const { graph } = paths;
    let vector = start;
    let state = fromState;
    let logWeight = 0;
    let slot = fromSlot;
    const slots: number[] = [];
    for (let done = 0; done < text.length; ) {
      if (slot >= most) return null;
      const own = this.stepFor(state, part, text[done]);
      const index = own ?? this.shiftFrom(state);
      if (index === null) return null;
      const step = graph.steps[index];
      const { codes, characters } = graph.sets[step.set];
      const code = own === null ? codes[0] : codes[characters.indexOf(text[done])];
      this.trellis.mix(vector, 0, this.mixed, 0);
      vector = new Float64Array(bins);
      this.trellis.key(slot, code, 1, this.mixed, 0, vector, 0);
      logWeight += step.logWeight;
      if (own !== null && step.edge !== null) {
        logWeight += Math.log(graph.printed.edges[step.edge].characters.length);
        slots.push(slot);
        done++;
      }
      state = step.to;
      slot++;
    }
    return paths.ends[state] === 1 ? { logWeight: logWeight + Math.log(sumOf(vector, 0, bins)), slot, slots } : null;
  }

  private stepFor(state: number, part: number, character: string): number | null {
    const { graph } = this.trellis.paths;
    for (const index of graph.outgoing[state]) {
      const step = graph.steps[index];
      if (this.layout.parts.partOf(step) === part && graph.sets[step.set].characters.includes(character)) return index;
    }
    return null;
  }

  private shiftFrom(state: number): number | null {
    const { graph } = this.trellis.paths;
    let best: number | null = null;
    for (const index of graph.outgoing[state]) {
      const step = graph.steps[index];
      if (step.edge !== null || step.to === step.from || graph.sets[step.set].codes.length === 0) continue;
      if (best === null || step.logWeight > graph.steps[best].logWeight) best = index;
    }
    return best;
  }
}

function dot(a: Float64Array, aAt: number, b: Float64Array, bAt: number, count: number): number {
  let sum = 0;
  for (let i = 0; i < count; i++) sum += a[aAt + i] * b[bAt + i];
  return sum;
}

/** Brings the largest entry to one; returns the ln of what was taken out. */
function rescale(values: Float64Array): number {
  let most = 0;
  for (let i = 0; i < values.length; i++) if (values[i] > most) most = values[i];
  if (most === 0) return 0;
  for (let i = 0; i < values.length; i++) values[i] /= most;
  return Math.log(most);
}

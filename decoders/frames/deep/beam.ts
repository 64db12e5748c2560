import type { Candidate, CandidateCharacter, CandidateLeap } from '../candidates.ts';
import type { CompiledLayout } from '../compiled-mission.ts';
import { derivedTexts, type WrittenCandidate, type WrittenCharacter } from '../write-candidate.ts';
import type { PhaseTrellis } from './phase-trellis.ts';

/** Readings kept from slot to slot: more than this gains nothing. */
const KEPT = 500;
/** A reading so much less likely than the best (nats) is let go even where there is room. */
const LEAST_WEIGHT = 22;

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

interface Survivor {
  readonly state: number;
  readonly vector: Float64Array;
  /** The vector counts times exp(logScale). */
  readonly logScale: number;
  /** ln of its share: vector times what may follow. */
  readonly share: number;
  readonly last: Link | null;
}

interface Link {
  readonly item: CandidateCharacter;
  readonly before: Link | null;
}

class Beam {
  private readonly layout: CompiledLayout;
  private readonly trellis: PhaseTrellis;
  private readonly ahead: ReturnType<PhaseTrellis['backward']>;
  private readonly found: WrittenCandidate[] = [];
  private free = Number.NEGATIVE_INFINITY;

  constructor(layout: CompiledLayout, trellis: PhaseTrellis) {
    this.layout = layout;
    this.trellis = trellis;
    this.ahead = trellis.backward();
  }

  run(): BeamResult {
    const { bins, graph, weights } = this.trellis;
    let survivors: Survivor[] = [];
    let total = 0;
    for (const state of graph.starts) {
      const vector = new Float64Array(bins).fill(1 / bins / graph.starts.length);
      const share = this.shareOf(0, state, vector, 0, 0);
      survivors.push({ state, vector, logScale: 0, share, last: null });
      total += Math.exp(share - this.ahead.scale[0]);
    }
    this.free = Math.log(total) + this.ahead.scale[0];
    for (let slot = 0; slot <= weights.slots && survivors.length > 0; slot++) {
      const going = survivors.filter((survivor) => !this.finish(slot, survivor));
      survivors = slot < weights.slots ? this.extend(slot, going) : [];
    }
    return { free: this.free, candidates: this.found };
  }

  private shareOf(slot: number, state: number, vector: Float64Array, at: number, logScale: number): number {
    const { bins, graph } = this.trellis;
    const { value, scale } = this.ahead;
    const row = (slot * graph.stateCount + state) * bins;
    let sum = 0;
    for (let b = 0; b < bins; b++) sum += vector[at + b] * value[row + b];
    return Math.log(sum) + logScale + scale[slot];
  }

  private extend(slot: number, survivors: readonly Survivor[]): Survivor[] {
    const { graph, bins } = this.trellis;
    const next: Survivor[] = [];
    const floor = this.free - LEAST_WEIGHT;
    for (const survivor of survivors) {
      this.trellis.forward(slot, survivor.state, survivor.vector, 0, (index, code, vector, at) => {
        const step = graph.steps[index];
        const logScale = survivor.logScale + step.logWeight;
        const share = this.shareOf(slot + 1, step.to, vector, at, logScale);
        if (!(share >= floor)) return;
        let last = survivor.last;
        if (step.edge !== null) {
          const set = graph.sets[step.set];
          const text = set.characters[set.codes.indexOf(code)];
          last = { item: { kind: 'character', edge: step.edge, text, slot }, before: last };
        }
        next.push(scaled(step.to, vector.slice(at, at + bins), logScale, share, last));
      });
    }
    if (next.length <= KEPT) return next;
    return next.sort((a, b) => b.share - a.share).slice(0, KEPT);
  }

  /** Takes a survivor out when only its checksum, or nothing, is still to come. */
  private finish(slot: number, survivor: Survivor): boolean {
    const { graph } = this.trellis;
    if (graph.ends.includes(survivor.state)) {
      this.found.push(this.written(survivor, slot, null));
      return true;
    }
    const part = this.partAhead(survivor.state);
    if (part < 0) return false;
    this.found.push(this.written(survivor, slot, part));
    return true;
  }

  private partAhead(state: number): number {
    const { graph } = this.trellis;
    for (const index of graph.outgoing[state]) {
      const part = this.layout.parts.partOf(graph.steps[index]);
      if (part >= 0) return part;
    }
    return -1;
  }

  private written(survivor: Survivor, slot: number, part: number | null): WrittenCandidate {
    const items: (CandidateCharacter | CandidateLeap)[] = [];
    for (let link = survivor.last; link; link = link.before) items.push(link.item);
    items.reverse();
    const content = items.map((item) => (item.kind === 'character' ? item.text : '')).join('');
    const characters: WrittenCharacter[] = items.flatMap((item) =>
      item.kind === 'character'
        ? [
            {
              character: item.text,
              owner: this.trellis.graph.printed.edges[item.edge].owner,
              slot: item.slot,
              edge: item.edge,
            },
          ]
        : [],
    );
    let candidate: Candidate = { logWeight: survivor.share, items, fromSlot: 0, toSlot: slot };
    if (part === null) return { candidate, characters, content, logConsistent: survivor.share, checked: false };
    const leap = {
      part,
      fromSlot: slot,
      fromState: survivor.state,
      toSlot: slot,
      toState: survivor.state,
      logSum: 0,
    };
    candidate = { ...candidate, items: [...items, { kind: 'leap', leap }] };
    const text = derivedTexts(this.layout, candidate).get(leap);
    const keyed = text === undefined ? null : this.keyDerived(survivor, slot, part, text);
    const owner = this.layout.parts.owners[part];
    return {
      candidate: { ...candidate, toSlot: keyed?.slot ?? slot },
      characters: [
        ...characters,
        ...Array.from(text ?? '', (character, i) => ({
          character,
          owner,
          slot: keyed?.slots[i] ?? slot,
          edge: null,
        })),
      ],
      content,
      logConsistent: keyed?.logWeight ?? Number.NEGATIVE_INFINITY,
      checked: owner.kind === 'check',
    };
  }

  /** Keys the one text that the rest calls for; its likelihood counts, its prior does not: it was sure before. */
  private keyDerived(
    survivor: Survivor,
    fromSlot: number,
    part: number,
    text: string,
  ): { readonly logWeight: number; readonly slot: number; readonly slots: readonly number[] } | null {
    const { graph, weights, bins } = this.trellis;
    const vector = survivor.vector.slice();
    let { state } = survivor;
    let logWeight = survivor.logScale;
    let slot = fromSlot;
    const slots: number[] = [];
    for (let done = 0; done < text.length; ) {
      if (slot >= weights.slots) return null;
      const own = this.stepFor(state, part, text[done]);
      const step = own ?? this.shiftFrom(state);
      if (step === null) return null;
      const { set, edge, to, logWeight: stepWeight } = graph.steps[step];
      const { codes, characters } = graph.sets[set];
      const code = own === null ? codes[0] : codes[characters.indexOf(text[done])];
      this.trellis.keyCode(slot, code, vector);
      logWeight += stepWeight + rescale(vector);
      if (own !== null && edge !== null) {
        logWeight += Math.log(graph.printed.edges[edge].characters.length);
        slots.push(slot);
        done++;
      }
      state = to;
      slot++;
    }
    if (!graph.ends.includes(state)) return null;
    let sum = 0;
    for (let b = 0; b < bins; b++) sum += vector[b];
    return { logWeight: logWeight + Math.log(sum), slot, slots };
  }

  private stepFor(state: number, part: number, character: string): number | null {
    const { graph } = this.trellis;
    for (const index of graph.outgoing[state]) {
      const step = graph.steps[index];
      if (this.layout.parts.partOf(step) === part && graph.sets[step.set].characters.includes(character)) return index;
    }
    return null;
  }

  private shiftFrom(state: number): number | null {
    const { graph } = this.trellis;
    let best: number | null = null;
    for (const index of graph.outgoing[state]) {
      const step = graph.steps[index];
      if (step.edge !== null || step.to === step.from || graph.sets[step.set].codes.length === 0) continue;
      if (best === null || step.logWeight > graph.steps[best].logWeight) best = index;
    }
    return best;
  }
}

function scaled(state: number, vector: Float64Array, logScale: number, share: number, last: Link | null): Survivor {
  return { state, vector, logScale: logScale + rescale(vector), share, last };
}

/** Brings a vector's largest entry to one; returns the ln of what was taken out. */
function rescale(vector: Float64Array): number {
  let most = 0;
  for (const entry of vector) if (entry > most) most = entry;
  if (most === 0) return Number.NEGATIVE_INFINITY;
  for (let b = 0; b < vector.length; b++) vector[b] /= most;
  return Math.log(most);
}

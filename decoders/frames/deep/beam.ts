import type { Candidate, CandidateCharacter, CandidateLeap } from '../candidates.ts';
import type { CompiledLayout } from '../compiled-mission.ts';
import { logAdd } from '../total-mass.ts';
import { derivedTexts, type WrittenCandidate, type WrittenCharacter } from '../write-candidate.ts';
import { type Ahead, type PhaseTrellis, sumOf } from './phase-trellis.ts';
import type { SenderPaths } from './sender-paths.ts';

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
 * The likeliest readings of a frame that begins in slot 0 of one or several receptions, each with a trellis of its own over the
 * same paths. Each survivor carries its phase vector in every reception, and is ranked by those vectors times the evidence of all
 * that may follow (from backward passes).
 *
 * Of one reception that is the exact share of its beginning in the whole burst, and what is let go is known exactly, too, as
 * the total less the shares kept. Of several it is what each by itself expects of the rest: flatter than what they say
 * together, so that the shares let go come out larger than they are, never smaller.
 */
export function beam(layout: CompiledLayout, trellises: readonly PhaseTrellis[]): BeamResult {
  return new Beam(layout, trellises).run();
}

interface Link {
  readonly move: number;
  readonly slot: number;
  readonly before: Link | null;
}

/** Readings of the slots so far; the product of a reading's vectors counts times exp(logScale). */
interface Survivors {
  readonly logScale: number;
  /** Part of all such readings that is still among them. */
  readonly kept: number;
  readonly states: readonly number[];
  readonly links: readonly (Link | null)[];
  /** `width` numbers each: the phases in one reception after the other. */
  readonly vectors: Float64Array;
}

/** One reception: its trellis, what may follow, and where its phases stand in a survivor's vectors. */
interface Reception {
  readonly trellis: PhaseTrellis;
  readonly ahead: Ahead;
  readonly at: number;
}

class Beam {
  private readonly layout: CompiledLayout;
  private readonly paths: SenderPaths;
  private readonly receptions: readonly Reception[];
  private readonly slots: number;
  private readonly width: number;
  private readonly found: WrittenCandidate[] = [];
  /** Mixed vectors of the survivors; and of each move, the evidence of all behind it. */
  private readonly mixed: Float64Array;
  private readonly behind: Float64Array;
  private readonly behindSlot: Int32Array;
  /** The reading that goes best with its checksum, before that is keyed. */
  private best: { readonly logConsistent: number; readonly slot: number; readonly survivors: Survivors } | null = null;

  constructor(layout: CompiledLayout, trellises: readonly PhaseTrellis[]) {
    const [{ paths }] = trellises;
    let width = 0;
    this.receptions = trellises.map((trellis) => {
      const at = width;
      width += trellis.bins;
      return { trellis, ahead: trellis.backward(), at };
    });
    this.layout = layout;
    this.paths = paths;
    this.slots = Math.min(...trellises.map(({ slots }) => slots));
    this.width = width;
    this.mixed = new Float64Array(Math.max(KEPT, paths.graph.starts.length) * width);
    this.behind = new Float64Array(paths.moves.code.length * width);
    this.behindSlot = new Int32Array(paths.moves.code.length).fill(-1);
  }

  run(): BeamResult {
    let survivors = this.starts();
    const alone = Math.log(this.totalOf(0, survivors)) + survivors.logScale + this.scaleAhead(0);
    let estimated = Number.NEGATIVE_INFINITY;
    for (let slot = 0; slot <= this.slots && survivors.states.length > 0; slot++) {
      const going: number[] = [];
      survivors.states.forEach((_, i) => {
        const logWeight = this.finish(slot, survivors, i);
        if (logWeight === null) going.push(i);
        else estimated = logAdd(estimated, logWeight - Math.log(survivors.kept));
      });
      if (slot === this.slots) break;
      survivors = this.extend(slot, survivors, going);
    }
    if (this.receptions.length === 1) return { free: alone, candidates: this.found };
    const more = this.agreementOfTails();
    return { free: estimated + more, candidates: this.found.map((each) => withMore(each, more)) };
  }

  /**
   * What receptions say together of the checksum that they hold, over what each says by itself: ln of a factor that all readings
   * share, as the checksum received hangs on none of them.
   */
  private agreementOfTails(): number {
    const { best } = this;
    if (best === null) return 0;
    let survivors: Survivors = { ...best.survivors, logScale: 0, kept: 1 };
    const apart = Math.log(this.totalOf(best.slot, survivors)) + this.scaleAhead(best.slot);
    let together = Number.NEGATIVE_INFINITY;
    for (let slot = best.slot; survivors.states.length > 0; slot++) {
      const { states, vectors, logScale, kept } = survivors;
      const going: number[] = [];
      states.forEach((state, i) => {
        if (this.paths.ends[state] === 0) going.push(i);
        else together = logAdd(together, Math.log(this.sumOf(vectors, i * this.width) / kept) + logScale);
      });
      if (slot === this.slots) break;
      survivors = this.extend(slot, survivors, going);
    }
    return Math.max(0, together - apart);
  }

  private starts(): Survivors {
    const { starts } = this.paths.graph;
    const vectors = new Float64Array(starts.length * this.width);
    starts.forEach((_, i) => {
      for (const { at, trellis } of this.receptions) {
        const from = i * this.width + at;
        vectors.fill(1 / trellis.bins, from, from + trellis.bins);
      }
    });
    const logScale = -Math.log(starts.length);
    return { logScale, kept: 1, states: starts, links: starts.map(() => null), vectors };
  }

  /** Vectors times the evidence of all that may follow, which counts times exp(scaleAhead(slot)). */
  private valueOf(slot: number, state: number, vectors: Float64Array, from: number): number {
    let value = 1;
    for (const { trellis, ahead, at } of this.receptions) {
      const row = (slot * this.paths.graph.stateCount + state) * trellis.bins;
      value *= dot(vectors, from + at, ahead.value, row, trellis.bins);
    }
    return value;
  }

  private totalOf(slot: number, { states, vectors }: Survivors): number {
    return states.reduce((sum, state, i) => sum + this.valueOf(slot, state, vectors, i * this.width), 0);
  }

  private scaleAhead(slot: number): number {
    return this.receptions.reduce((sum, { ahead }) => sum + ahead.scale[slot], 0);
  }

  private extend(slot: number, survivors: Survivors, going: readonly number[]): Survivors {
    const { width } = this;
    const { firstMove, moves } = this.paths;
    const values: number[] = [];
    const parents: number[] = [];
    const taken: number[] = [];
    let total = 0;
    for (const i of going) {
      const state = survivors.states[i];
      this.mix(survivors.vectors, i * width, i * width);
      for (let move = firstMove[state]; move < firstMove[state + 1]; move++) {
        this.lookBehind(slot, move);
        let value = 1;
        for (const { trellis, at } of this.receptions) {
          value *= dot(this.mixed, i * width + at, this.behind, move * width + at, trellis.bins);
        }
        // Each reception's evidence of what follows holds the move's prior.
        value /= moves.weight[move] ** (this.receptions.length - 1);
        if (!(value > 0)) continue;
        total += value;
        values.push(value);
        parents.push(i);
        taken.push(move);
      }
    }
    const floor = LEAST_SHARE * total;
    const least = values.length <= KEPT ? floor : Math.max(floor, values.toSorted((a, b) => b - a)[KEPT - 1]);
    const kept = Array.from(values.keys())
      .filter((k) => values[k] >= least)
      .slice(0, KEPT);
    const vectors = new Float64Array(kept.length * width);
    let keptValue = 0;
    kept.forEach((k, n) => {
      keptValue += values[k];
      this.key(slot, moves.code[taken[k]], moves.weight[taken[k]], parents[k] * width, vectors, n * width);
    });
    return {
      logScale: survivors.logScale + this.rescale(vectors),
      kept: survivors.kept * (total > 0 ? keptValue / total : 1),
      states: kept.map((k) => moves.to[taken[k]]),
      links: kept.map((k) => ({ move: taken[k], slot, before: survivors.links[parents[k]] })),
      vectors,
    };
  }

  private mix(vectors: Float64Array, from: number, to: number): void {
    for (const { trellis, at } of this.receptions) trellis.mix(vectors, from + at, this.mixed, to + at);
  }

  /** Keys a code; its prior counts once, however many receptions there are. */
  private key(slot: number, code: number, weight: number, from: number, to: Float64Array, toAt: number): void {
    this.receptions.forEach(({ trellis, at }, i) => {
      trellis.key(slot, code, i === 0 ? weight : 1, this.mixed, from + at, to, toAt + at);
    });
  }

  private lookBehind(slot: number, move: number): void {
    if (this.behindSlot[move] === slot) return;
    for (const { trellis, ahead, at } of this.receptions) {
      trellis.before(ahead, slot, move, this.behind, move * this.width + at);
    }
    this.behindSlot[move] = slot;
  }

  /** Product of the receptions' sums over their phases. */
  private sumOf(vectors: Float64Array, from: number): number {
    return this.receptions.reduce((product, { trellis, at }) => product * sumOf(vectors, from + at, trellis.bins), 1);
  }

  /** Brings the largest phase in each reception to one; returns the ln of what was taken out. */
  private rescale(vectors: Float64Array): number {
    return this.receptions.reduce((sum, { trellis, at }) => sum + rescale(vectors, this.width, at, trellis.bins), 0);
  }

  /** Takes a survivor out when only its checksum, or nothing, is still to come; returns its ln weight, null where it goes on. */
  private finish(slot: number, survivors: Survivors, index: number): number | null {
    const state = survivors.states[index];
    const part = this.paths.ends[state] === 1 ? null : this.partAhead(state);
    if (part !== null && part < 0) return null;
    const written = this.written(survivors, index, slot, part);
    this.found.push(written);
    return written.candidate.logWeight;
  }

  private partAhead(state: number): number {
    const { graph } = this.paths;
    for (const index of graph.outgoing[state]) {
      const part = this.layout.parts.partOf(graph.steps[index]);
      if (part >= 0) return part;
    }
    return -1;
  }

  private itemsOf(last: Link | null): CandidateCharacter[] {
    const { graph, moves } = this.paths;
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
    const fromState = survivors.states[index];
    const vector = survivors.vectors.slice(index * this.width, (index + 1) * this.width);
    const value = this.valueOf(slot, fromState, vector, 0);
    const logWeight = Math.log(value) + survivors.logScale + this.scaleAhead(slot);
    const items: (CandidateCharacter | CandidateLeap)[] = this.itemsOf(survivors.links[index]);
    let content = '';
    const characters: WrittenCharacter[] = [];
    for (const item of items) {
      if (item.kind !== 'character') continue;
      content += item.text;
      const { owner } = this.paths.graph.printed.edges[item.edge];
      characters.push({ character: item.text, owner, slot: item.slot, edge: item.edge });
    }
    const candidate: Candidate = { logWeight, items, fromSlot: 0, toSlot: slot };
    if (part === null) return { candidate, characters, content, logConsistent: logWeight, checked: false };
    const leap = { part, fromSlot: slot, fromState, toSlot: slot, toState: fromState, logSum: 0 };
    const leaping: Candidate = { ...candidate, items: [...items, { kind: 'leap', leap }] };
    const text = derivedTexts(this.layout, leaping).get(leap);
    const keyed = text === undefined ? null : this.keyDerived(vector, fromState, slot, part, text);
    if (
      keyed !== null &&
      keyed.logWeight + survivors.logScale > (this.best?.logConsistent ?? Number.NEGATIVE_INFINITY)
    ) {
      const alone = { ...survivors, states: [fromState], links: [null], vectors: vector };
      this.best = { logConsistent: keyed.logWeight + survivors.logScale, slot, survivors: alone };
    }
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
    const { graph, ends } = this.paths;
    let vector = start;
    let state = fromState;
    let logWeight = 0;
    let slot = fromSlot;
    const slots: number[] = [];
    for (let done = 0; done < text.length; ) {
      if (slot >= this.slots) return null;
      const own = this.stepFor(state, part, text[done]);
      const index = own ?? this.shiftFrom(state);
      if (index === null) return null;
      const step = graph.steps[index];
      const { codes, characters } = graph.sets[step.set];
      const code = own === null ? codes[0] : codes[characters.indexOf(text[done])];
      this.mix(vector, 0, 0);
      vector = new Float64Array(this.width);
      this.key(slot, code, 1, 0, vector, 0);
      logWeight += step.logWeight;
      if (own !== null && step.edge !== null) {
        logWeight += Math.log(graph.printed.edges[step.edge].characters.length);
        slots.push(slot);
        done++;
      }
      state = step.to;
      slot++;
    }
    return ends[state] === 1 ? { logWeight: logWeight + Math.log(this.sumOf(vector, 0)), slot, slots } : null;
  }

  private stepFor(state: number, part: number, character: string): number | null {
    const { graph } = this.paths;
    for (const index of graph.outgoing[state]) {
      const step = graph.steps[index];
      if (this.layout.parts.partOf(step) === part && graph.sets[step.set].characters.includes(character)) return index;
    }
    return null;
  }

  private shiftFrom(state: number): number | null {
    const { graph } = this.paths;
    let best: number | null = null;
    for (const index of graph.outgoing[state]) {
      const step = graph.steps[index];
      if (step.edge !== null || step.to === step.from || graph.sets[step.set].codes.length === 0) continue;
      if (best === null || step.logWeight > graph.steps[best].logWeight) best = index;
    }
    return best;
  }
}

/** A reading whose derived part weighs more by what receptions say of it together. */
function withMore(written: WrittenCandidate, more: number): WrittenCandidate {
  const { candidate } = written;
  if (candidate.items.at(-1)?.kind !== 'leap') return written;
  return { ...written, candidate: { ...candidate, logWeight: candidate.logWeight + more } };
}

function dot(a: Float64Array, aAt: number, b: Float64Array, bAt: number, count: number): number {
  let sum = 0;
  for (let i = 0; i < count; i++) sum += a[aAt + i] * b[bAt + i];
  return sum;
}

/** Brings the largest entry of all blocks of `count` that begin at `at` in each row to one; returns the ln of what was taken out. */
function rescale(values: Float64Array, width: number, at: number, count: number): number {
  let most = 0;
  for (let row = at; row < values.length; row += width) {
    for (let i = row; i < row + count; i++) if (values[i] > most) most = values[i];
  }
  if (most === 0) return 0;
  for (let row = at; row < values.length; row += width) {
    for (let i = row; i < row + count; i++) values[i] /= most;
  }
  return Math.log(most);
}

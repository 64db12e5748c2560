import type { Candidate } from '../candidates.ts';
import type { CompiledLayout } from '../compiled-mission.ts';
import { logAdd } from '../total-mass.ts';
import { copiesWithin, holdsCheck, type WrittenCandidate } from '../write-candidate.ts';
import { InnerParts } from './inner-parts.ts';
import { RestKeyer } from './key-rest.ts';
import { keyedUpTo } from './links.ts';
import type { PhaseTrellis } from './phase-trellis.ts';
import { Receptions } from './receptions.ts';
import type { SenderPaths } from './sender-paths.ts';
import { SureRest } from './sure-rest.ts';
import { type Arrival, joined, type Scaled, type Survivors } from './survivors.ts';

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
 *
 * A survivor is taken out where a derived part of the layout begins behind which nothing is open, with the share that it has there:
 * that of all texts of the derived parts, and of all that may stand between and behind them. So nothing that may follow is missing
 * from a share, and none of it can be let go. What is keyed after that (`RestKeyer`) weighs the reading with what it calls for, and
 * moves no share.
 *
 * Where more is open behind a derived part (`InnerParts`, of one reception), a survivor passes through it twice: with any text in
 * it, which is its share, and with the one text that its beginning calls for, by which it is weighed in the end.
 */
export function beam(layout: CompiledLayout, trellises: readonly PhaseTrellis[]): BeamResult {
  return new Beam(layout, trellises).run();
}

class Beam {
  private readonly layout: CompiledLayout;
  private readonly paths: SenderPaths;
  private readonly receptions: Receptions;
  private readonly rest: RestKeyer;
  private readonly sureRest: SureRest;
  /** Null where a derived part begins a rest that is sure. */
  private readonly inner: InnerParts | null;
  private readonly arriving: Arrival[] = [];
  private readonly found: WrittenCandidate[] = [];
  /** The reading that goes best with its derived parts, before those are keyed. */
  private best: { readonly logConsistent: number; readonly slot: number; readonly survivors: Survivors } | null = null;

  constructor(layout: CompiledLayout, trellises: readonly PhaseTrellis[]) {
    const [{ paths }] = trellises;
    this.layout = layout;
    this.paths = paths;
    this.receptions = new Receptions(trellises, Math.max(KEPT, paths.graph.starts.length));
    this.rest = new RestKeyer(layout, this.receptions);
    this.sureRest = new SureRest(layout);
    this.inner = this.sureRest.isSure() ? null : new InnerParts(layout, this.receptions);
  }

  run(): BeamResult {
    const { slots, count } = this.receptions;
    let survivors = this.starts();
    const alone = Math.log(this.totalOf(0, survivors)) + survivors.logScale + this.receptions.scaleAhead(0);
    let estimated = Number.NEGATIVE_INFINITY;
    for (let slot = 0; slot <= slots; slot++) {
      const arrived = this.arriving.filter((arrival) => arrival.slot === slot);
      survivors = joined(survivors, arrived, slot, this.receptions, KEPT);
      const going: number[] = [];
      survivors.states.forEach((_, i) => {
        const logWeight = this.finish(slot, survivors, i);
        if (logWeight !== null) {
          estimated = logAdd(estimated, logWeight - Math.log(survivors.kept));
          return;
        }
        this.arriving.push(...(this.inner?.pass(slot, survivors, i) ?? []));
        going.push(i);
      });
      if (slot === slots) break;
      survivors = this.extend(slot, survivors, going);
    }
    if (count === 1) return { free: alone, candidates: this.found };
    const more = this.agreementOfRests();
    return { free: estimated + more, candidates: this.found.map((each) => withMore(each, more)) };
  }

  /**
   * What receptions say together of the derived parts that they hold and of all behind, over what each says by itself: ln of a
   * factor that all readings share, as what was received there hangs on none of them.
   */
  private agreementOfRests(): number {
    const { best, receptions } = this;
    if (best === null) return 0;
    let survivors: Survivors = { ...best.survivors, logScale: 0, kept: 1 };
    const apart = Math.log(this.totalOf(best.slot, survivors)) + receptions.scaleAhead(best.slot);
    let together = Number.NEGATIVE_INFINITY;
    for (let slot = best.slot; survivors.states.length > 0; slot++) {
      const { states, vectors, logScale, kept } = survivors;
      const going: number[] = [];
      states.forEach((state, i) => {
        if (this.paths.ends[state] === 0) going.push(i);
        else together = logAdd(together, Math.log(receptions.sumOf(vectors, i * receptions.width) / kept) + logScale);
      });
      if (slot === receptions.slots) break;
      survivors = this.extend(slot, survivors, going);
    }
    return Math.max(0, together - apart);
  }

  private starts(): Survivors {
    const { starts } = this.paths.graph;
    const vectors = this.receptions.startVectors(starts.length);
    const logScale = -Math.log(starts.length);
    const called = this.inner && { vectors: vectors.slice(), logScale };
    return { logScale, kept: 1, states: starts, links: starts.map(() => null), vectors, called };
  }

  private totalOf(slot: number, { states, vectors }: Survivors): number {
    const { width } = this.receptions;
    return states.reduce((sum, state, i) => sum + this.receptions.valueOf(slot, state, vectors, i * width), 0);
  }

  private extend(slot: number, survivors: Survivors, going: readonly number[]): Survivors {
    const { receptions } = this;
    const { width } = receptions;
    const { firstMove, moves } = this.paths;
    const values: number[] = [];
    const parents: number[] = [];
    const taken: number[] = [];
    let total = 0;
    for (const i of going) {
      const state = survivors.states[i];
      receptions.mix(survivors.vectors, i * width, i);
      for (let move = firstMove[state]; move < firstMove[state + 1]; move++) {
        if (this.inner?.isOfPart(move)) continue;
        const value = receptions.valueOfMove(slot, move, i);
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
    let keptValue = 0;
    for (const k of kept) keptValue += values[k];
    const keyed = (logScale: number): Scaled => {
      const vectors = new Float64Array(kept.length * width);
      kept.forEach((k, n) => {
        receptions.key(slot, moves.code[taken[k]], moves.weight[taken[k]], parents[k], vectors, n * width);
      });
      return { vectors, logScale: logScale + receptions.rescale(vectors) };
    };
    const free = keyed(survivors.logScale);
    const { called } = survivors;
    if (called) for (const i of going) receptions.mix(called.vectors, i * width, i);
    return {
      ...free,
      kept: survivors.kept * (total > 0 ? keptValue / total : 1),
      states: kept.map((k) => moves.to[taken[k]]),
      links: kept.map((k) => ({ move: taken[k], slot, before: survivors.links[parents[k]] })),
      called: called && keyed(called.logScale),
    };
  }

  /** Takes a survivor out where nothing, or nothing that is open, is still to come; returns its ln weight, null where it goes on. */
  private finish(slot: number, survivors: Survivors, index: number): number | null {
    const state = survivors.states[index];
    const isEnd = this.paths.ends[state] === 1;
    if (!isEnd && !this.sureRestBegins(state)) return null;
    const { width } = this.receptions;
    const { logScale } = survivors;
    const vector = survivors.vectors.slice(index * width, (index + 1) * width);
    const weightOf = (vectors: Float64Array, scale: number) =>
      Math.log(this.receptions.valueOf(slot, state, vectors, 0)) + scale + this.receptions.scaleAhead(slot);
    const logWeight = weightOf(vector, logScale);
    const { items, characters, content, logMost } = keyedUpTo(survivors.links[index], this.paths);
    const candidate: Candidate = { logWeight, items, fromSlot: 0, toSlot: slot };
    const called = survivors.called ?? survivors;
    const calledVector = called.vectors.slice(index * width, (index + 1) * width);
    if (isEnd) {
      const logConsistent = weightOf(calledVector, called.logScale);
      const checked = holdsCheck(this.layout, items);
      const copies = copiesWithin(logConsistent - logWeight, logMost, checked);
      this.found.push({ candidate, characters, content, logConsistent, copies, checked });
      return logWeight;
    }
    const beginning = {
      candidate,
      characters,
      content,
      logMost,
      state,
      vector: calledVector,
      logScale: called.logScale,
    };
    const written = this.rest.write(beginning);
    this.found.push(written);
    if (written.logConsistent > (this.best?.logConsistent ?? Number.NEGATIVE_INFINITY)) {
      const alone = { ...survivors, states: [state], links: [null], vectors: vector };
      this.best = { logConsistent: written.logConsistent, slot, survivors: alone };
    }
    return logWeight;
  }

  private sureRestBegins(state: number): boolean {
    const { graph } = this.paths;
    if (!graph.outgoing[state].some((index) => this.layout.parts.partOf(graph.steps[index]) >= 0)) return false;
    return this.inner === null || this.sureRest.isSureFrom(graph.nodeOfState[state]);
  }
}

/** A reading whose derived parts weigh more by what receptions say of them together. */
function withMore(written: WrittenCandidate, more: number): WrittenCandidate {
  const { candidate, logConsistent, copies, checked } = written;
  if (!candidate.items.some(({ kind }) => kind === 'leap')) return written;
  const logWeight = candidate.logWeight + more;
  const copied = copiesWithin(logConsistent - logWeight, copies.logMost, checked);
  return { ...written, candidate: { ...candidate, logWeight }, copies: copied };
}

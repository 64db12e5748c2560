import type { Candidate, CandidateCharacter, CandidateLeap } from '../candidates.ts';
import type { CompiledLayout } from '../compiled-mission.ts';
import { logAdd } from '../total-mass.ts';
import {
  copiesWithin,
  derivedTexts,
  holdsCheck,
  type WrittenCandidate,
  type WrittenCharacter,
} from '../write-candidate.ts';
import type { Receptions } from './receptions.ts';
import { SureRest } from './sure-rest.ts';

/** Ways of keying one rest kept from slot to slot: shifts leave two or three open. */
const KEPT = 32;
/** Vectors beyond these are scaled: far from where numbers end, and beyond what checksums alone come to. */
const SCALED = 1e200;

/** A reading up to where its first derived part begins, or to the frame's end. */
export interface Beginning {
  /** Its weight with all that may follow, and its characters. */
  readonly candidate: Candidate;
  readonly characters: readonly WrittenCharacter[];
  readonly content: string;
  /** ln of what copies of fields in it can add to its weight. */
  readonly logMost: number;
  readonly state: number;
  /** Its phases, which count times exp(logScale). */
  readonly vector: Float64Array;
  readonly logScale: number;
}

/** What must be keyed next: a character of a derived part, or of a literal. */
type Sure = Omit<WrittenCharacter, 'slot'> & { readonly part: number };

/** One way of keying the rest so far. */
interface Way {
  readonly state: number;
  readonly vector: Float64Array;
  readonly logWeight: number;
  readonly characters: readonly WrittenCharacter[];
}

interface Keyed {
  /** ln of the sum over all ways. */
  readonly logWeight: number;
  /** Of the likeliest way. */
  readonly characters: readonly WrittenCharacter[];
  readonly toSlot: number;
}

/**
 * Keys what readings of a layout call for behind them: the one text of each derived part, the literals between them, and any of
 * the literals that may end the frame. The likelihood of a derived text counts, its prior does not: it was sure before.
 */
export class RestKeyer {
  private readonly layout: CompiledLayout;
  private readonly receptions: Receptions;
  private readonly rest: SureRest;

  constructor(layout: CompiledLayout, receptions: Receptions) {
    this.layout = layout;
    this.receptions = receptions;
    this.rest = new SureRest(layout);
  }

  /** The whole frame that a reading calls for. What tells readings apart is their beginning. */
  write({ candidate, characters, content, logMost, state, vector, logScale }: Beginning): WrittenCandidate {
    const slot = candidate.toSlot;
    const { graph, parts } = this.layout;
    const rest = this.rest.itemsFrom(graph.nodeOfState[state]);
    const items = rest.map((item): CandidateCharacter | CandidateLeap => {
      if (item.kind === 'literal') {
        return { kind: 'character', edge: item.edge, text: graph.printed.edges[item.edge].characters, slot };
      }
      const leap = { part: item.part, fromSlot: slot, fromState: state, toSlot: slot, toState: state, logSum: 0 };
      return { kind: 'leap', leap };
    });
    const leaping: Candidate = { ...candidate, items: [...candidate.items, ...items] };
    const texts = derivedTexts(this.layout, leaping);
    const isKnown = items.every((item) => item.kind === 'character' || texts.has(item.leap));
    const sure = items.flatMap((item): Sure[] => {
      if (item.kind === 'character') {
        const { owner } = graph.printed.edges[item.edge];
        return [{ part: -1, character: item.text, owner, edge: item.edge }];
      }
      const { part } = item.leap;
      const owner = parts.owners[part];
      return Array.from(texts.get(item.leap) ?? '', (character) => ({ part, character, owner, edge: null }));
    });
    const logMostOfRest = rest.reduce((sum, item, i) => {
      const written = items[i];
      if (item.kind === 'literal' || written.kind !== 'leap' || parts.owners[item.part].kind === 'check') return sum;
      return sum + parts.surprise(item.part, item.node, texts.get(written.leap) ?? '');
    }, logMost);
    const keyed = isKnown ? this.key(vector, state, slot, sure) : null;
    const checked = holdsCheck(this.layout, leaping.items);
    const logConsistent = keyed === null ? Number.NEGATIVE_INFINITY : keyed.logWeight + logScale;
    return {
      candidate: { ...leaping, toSlot: keyed?.toSlot ?? slot },
      characters: [...characters, ...(keyed?.characters ?? sure.map((each) => writtenAt(slot, each)))],
      content,
      logConsistent,
      copies: copiesWithin(logConsistent - candidate.logWeight, logMostOfRest, checked),
      checked,
    };
  }

  private key(start: Float64Array, fromState: number, fromSlot: number, sure: readonly Sure[]): Keyed | null {
    const { receptions } = this;
    let ways: readonly Way[] = [{ state: fromState, vector: start, logWeight: 0, characters: [] }];
    let logWeight = Number.NEGATIVE_INFINITY;
    let most = Number.NEGATIVE_INFINITY;
    let best: Pick<Keyed, 'characters' | 'toSlot'> | null = null;
    for (let slot = fromSlot; ways.length > 0; slot++) {
      const going: Way[] = [];
      for (const way of ways) {
        if (way.characters.length < sure.length || receptions.paths.ends[way.state] === 0) {
          going.push(way);
          continue;
        }
        const weight = this.weightOf(way);
        if (weight > most) {
          most = weight;
          best = { characters: way.characters, toSlot: slot };
        }
        logWeight = logAdd(logWeight, weight);
      }
      if (slot === receptions.slots) break;
      ways = this.likeliest(going.flatMap((way) => this.goOn(way, slot, sure)));
    }
    return best && { ...best, logWeight };
  }

  private goOn(way: Way, slot: number, sure: readonly Sure[]): Way[] {
    const { receptions } = this;
    const { graph, moves } = receptions.paths;
    const next = this.movesOf(way, sure[way.characters.length]);
    if (next.length > 0) receptions.mix(way.vector, 0, 0);
    return next.map((move) => {
      const step = graph.steps[moves.step[move]];
      const code = moves.code[move];
      const vector = new Float64Array(receptions.width);
      receptions.key(slot, code, 1, 0, vector, 0);
      let logWeight = way.logWeight + step.logWeight;
      let { characters } = way;
      if (step.edge !== null) {
        const { owner, characters: allowed } = graph.printed.edges[step.edge];
        const edge = this.layout.parts.partOfEdge[step.edge] >= 0 ? null : step.edge;
        logWeight += Math.log(allowed.length);
        characters = [...characters, { character: receptions.paths.characterOf(move), owner, slot, edge }];
      }
      const sum = receptions.sumOf(vector, 0);
      if (sum > SCALED || sum < 1 / SCALED) logWeight += receptions.rescale(vector);
      return { state: step.to, vector, logWeight, characters };
    });
  }

  /** Moves that key the next character, or where it needs one the shift before it; of literals that may end the frame, any. */
  private movesOf({ state }: Way, next: Sure | undefined): number[] {
    const { paths } = this.receptions;
    const { firstMove, moves, graph } = paths;
    const all = Array.from({ length: firstMove[state + 1] - firstMove[state] }, (_, i) => firstMove[state] + i);
    const edgeOf = (move: number) => graph.steps[moves.step[move]].edge;
    const part = next?.part ?? -1;
    const own = all.filter((move) => {
      const edge = edgeOf(move);
      if (edge === null || this.layout.parts.partOfEdge[edge] !== part) return false;
      return next === undefined || paths.characterOf(move) === next.character;
    });
    const shifts = all.filter((move) => edgeOf(move) === null);
    if (next === undefined) return [...own, ...shifts];
    return own.length > 0 ? own : shifts;
  }

  private weightOf({ vector, logWeight }: Way): number {
    return logWeight + Math.log(this.receptions.sumOf(vector, 0));
  }

  private likeliest(ways: readonly Way[]): readonly Way[] {
    if (ways.length <= KEPT) return ways;
    return ways.toSorted((a, b) => this.weightOf(b) - this.weightOf(a)).slice(0, KEPT);
  }
}

function writtenAt(slot: number, { character, owner, edge }: Sure): WrittenCharacter {
  return { character, owner, slot, edge };
}

import { boundLlr, CODE_COUNT, codeLogPosteriors, ELEMENTS_PER_SLOT } from '../teletype/soft-characters.ts';
import type { SoftCharacters } from '../teletype/types.ts';
import type { CodeSet } from './code-graph.ts';

/** Codes weighed otherwise than element by element. */
export interface CodeLikelihoods {
  readonly count: number;
  /** `count * 32`: ln of each code's likelihood over that of a code drawn at random. */
  readonly logLikelihoods: Float64Array;
  /** By slot: ln of the likelihood of a code drawn at random, over noise alone. */
  readonly random: Float64Array;
}

/**
 * Log-likelihoods of all codes in all slots, relative to a code drawn at random: text without any layout scores zero a
 * slot, a certain code 3.47.
 */
export class SlotScores {
  readonly count: number;
  /** `count * 32`. */
  readonly scores: Float64Array;
  /** The same without the logarithm. */
  private readonly likelihoods: Float64Array;
  /** Best score of each slot. */
  readonly best: Float64Array;
  /** By slot: ln of the likelihood that no character stands there, zero where nothing tells. */
  readonly absent: Float64Array;

  /** @param timing start and stop of each slot, where these are known. */
  constructor(source: SoftCharacters | CodeLikelihoods, timing?: SoftCharacters) {
    const { count } = source;
    this.count = count;
    this.absent = timing ? absenceOf(timing) : new Float64Array(count);
    this.scores = 'elementLlr' in source ? scoresOfElements(source) : source.logLikelihoods;
    this.likelihoods = this.scores.map(Math.exp);
    this.best = new Float64Array(count).fill(Number.NEGATIVE_INFINITY);
    for (let slot = 0; slot < count; slot++) {
      for (let code = 0; code < CODE_COUNT; code++) {
        this.best[slot] = Math.max(this.best[slot], this.scores[slot * CODE_COUNT + code]);
      }
    }
  }

  of(slot: number, code: number): number {
    return this.scores[slot * CODE_COUNT + code];
  }

  /** Likelihood, not its logarithm. */
  likelihood(slot: number, code: number): number {
    return this.likelihoods[slot * CODE_COUNT + code];
  }

  /** Score of one code of a set; of there being no character where the set has none. */
  ofSet(slot: number, set: CodeSet, index: number): number {
    return set.codes.length === 0 ? this.absent[slot] : this.of(slot, set.codes[index]);
  }

  /** Best score among the set's codes; of there being no character where the set has none. */
  maxOf(slot: number, set: CodeSet): number {
    if (set.codes.length === 0) return this.absent[slot];
    let best = Number.NEGATIVE_INFINITY;
    for (const code of set.codes) {
      const score = this.scores[slot * CODE_COUNT + code];
      if (score > best) best = score;
    }
    return best;
  }

  /** Likelihood (not its logarithm) summed over the set's codes; of there being no character where the set has none. */
  sumOf(slot: number, set: CodeSet): number {
    if (set.codes.length === 0) return Math.exp(this.absent[slot]);
    let sum = 0;
    for (const code of set.codes) sum += this.likelihoods[slot * CODE_COUNT + code];
    return sum;
  }
}

/** So sure are start and stop at most: a click on one of them must not take a character away that is clear by itself. */
const MOST_ABSENT = 13;

/** ln of the likelihood of start and stop if either may be mark or space, as where nobody keyed a character. */
function absenceOf({ count, elementLlr }: SoftCharacters): Float64Array {
  return Float64Array.from({ length: count }, (_, slot) => {
    const start = boundLlr(elementLlr[slot * ELEMENTS_PER_SLOT]);
    const stop = boundLlr(elementLlr[(slot + 1) * ELEMENTS_PER_SLOT - 1]);
    return Math.min(MOST_ABSENT, Math.log((1 + Math.exp(start)) / 2) + Math.log((1 + Math.exp(-stop)) / 2));
  });
}

const LN_CODES = Math.log(CODE_COUNT);

function scoresOfElements(soft: SoftCharacters): Float64Array {
  const scores = new Float64Array(soft.count * CODE_COUNT);
  for (let slot = 0; slot < soft.count; slot++) {
    codeLogPosteriors(soft, slot, scores.subarray(slot * CODE_COUNT, (slot + 1) * CODE_COUNT));
  }
  for (let i = 0; i < scores.length; i++) scores[i] += LN_CODES;
  return scores;
}

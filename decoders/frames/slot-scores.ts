import { CODE_COUNT, codeLogPosteriors } from '../teletype/soft-characters.ts';
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

  constructor(source: SoftCharacters | CodeLikelihoods) {
    const { count } = source;
    this.count = count;
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

  /** Best score among the set's codes; zero for the set of any code. */
  maxOf(slot: number, set: CodeSet): number {
    if (set.codes.length === 0) return 0;
    let best = Number.NEGATIVE_INFINITY;
    for (const code of set.codes) {
      const score = this.scores[slot * CODE_COUNT + code];
      if (score > best) best = score;
    }
    return best;
  }

  /** Likelihood (not its logarithm) summed over the set's codes; one for the set of any code. */
  sumOf(slot: number, set: CodeSet): number {
    if (set.codes.length === 0) return 1;
    let sum = 0;
    for (const code of set.codes) sum += this.likelihoods[slot * CODE_COUNT + code];
    return sum;
  }
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

import { lnI0 } from '../../signal/ln-i0.ts';
import { CODE_COUNT, ELEMENTS_PER_SLOT } from '../../teletype/soft-characters.ts';
import type { CodeLikelihoods } from '../slot-scores.ts';
import { CodeGains } from './code-gains.ts';
import type { ElementSums } from './element-sums.ts';
import { overRandomCode } from './weighed-row.ts';

/** How long a sender's phase holds: as long as a tone lasts, or no longer than an element. */
export type Hold = 'tone' | 'element';

const STOP = ELEMENTS_PER_SLOT - 1;

/**
 * Likelihood of every code in every slot for a sender whose phase is a new one whenever it changes its tone (or in every
 * element): all elements that follow each other in one tone are summed with their phases, runs without.
 *
 * @param turnsPerSpace what a space does to the phase that the sums count in.
 */
export function toneLikelihoods(sums: ElementSums, turnsPerSpace: number, hold: Hold): CodeLikelihoods {
  const logLikelihoods = new Float64Array(sums.slots * CODE_COUNT);
  const random = new Float64Array(sums.slots);
  // Of a run of one tone over the elements i..j: `run[i * 7 + j]`.
  const mark = new Float64Array(ELEMENTS_PER_SLOT * ELEMENTS_PER_SLOT);
  const space = new Float64Array(mark.length);
  const still = turnsOf(0);
  const turning = turnsOf(turnsPerSpace);
  for (let slot = 0; slot < sums.slots; slot++) {
    const first = slot * ELEMENTS_PER_SLOT;
    fillRuns(sums.markRe, sums.markIm, first, sums.markBias, sums.stopBias, still, mark);
    fillRuns(sums.spaceRe, sums.spaceIm, first, sums.spaceBias, sums.spaceBias, turning, space);
    const row = logLikelihoods.subarray(slot * CODE_COUNT, (slot + 1) * CODE_COUNT);
    for (let code = 0; code < CODE_COUNT; code++) {
      row[code] = hold === 'tone' ? byRuns(code, mark, space) : byElements(code, mark, space);
    }
    random[slot] = overRandomCode(row);
  }
  return { count: sums.slots, logLikelihoods, random };
}

/** e^(-j 2 pi turns k) for each element k of a character. */
interface Turns {
  readonly re: Float64Array;
  readonly im: Float64Array;
}

function turnsOf(turns: number): Turns {
  const angles = Float64Array.from({ length: ELEMENTS_PER_SLOT }, (_, k) => -2 * Math.PI * turns * k);
  return { re: angles.map(Math.cos), im: angles.map(Math.sin) };
}

function fillRuns(
  re: Float64Array,
  im: Float64Array,
  first: number,
  bias: number,
  stopBias: number,
  { re: turnRe, im: turnIm }: Turns,
  runs: Float64Array,
): void {
  for (let i = 0; i < ELEMENTS_PER_SLOT; i++) {
    let sumRe = 0;
    let sumIm = 0;
    let level = 0;
    for (let j = i; j < ELEMENTS_PER_SLOT; j++) {
      sumRe += re[first + j] * turnRe[j] - im[first + j] * turnIm[j];
      sumIm += re[first + j] * turnIm[j] + im[first + j] * turnRe[j];
      level += j === STOP ? stopBias : bias;
      runs[i * ELEMENTS_PER_SLOT + j] = lnI0(Math.sqrt(sumRe * sumRe + sumIm * sumIm)) + level;
    }
  }
}

export function isMark(code: number, element: number): boolean {
  return element === STOP || (element > 0 && ((code >> (element - 1)) & 1) === 1);
}

function byRuns(code: number, mark: Float64Array, space: Float64Array): number {
  let sum = 0;
  for (let from = 0; from < ELEMENTS_PER_SLOT; ) {
    const tone = isMark(code, from);
    let to = from;
    while (to < STOP && isMark(code, to + 1) === tone) to++;
    sum += (tone ? mark : space)[from * ELEMENTS_PER_SLOT + to];
    from = to + 1;
  }
  return sum;
}

function byElements(code: number, mark: Float64Array, space: Float64Array): number {
  let sum = 0;
  for (let element = 0; element < ELEMENTS_PER_SLOT; element++) {
    sum += (isMark(code, element) ? mark : space)[element * ELEMENTS_PER_SLOT + element];
  }
  return sum;
}

/** The same as gains of a trellis that remembers no phase. */
export function gainsWithoutPhase(likelihoods: CodeLikelihoods): CodeGains {
  const gains = new CodeGains(likelihoods.count, 1);
  gains.gains.set(likelihoods.logLikelihoods.map(Math.exp));
  return gains;
}

import { lnI0 } from '../../signal/ln-i0.ts';
import { CODE_COUNT, ELEMENTS_PER_SLOT } from '../../teletype/soft-characters.ts';
import type { CodeLikelihoods } from '../slot-scores.ts';
import type { ElementSums } from './element-sums.ts';
import { isMark } from './tone-likelihoods.ts';

/** Part of what is known of an oscillator's phase that lasts from one character to the next: about 40 elements' worth. */
const KEPT_PHASE = 0.83;

/** Sums both tones up by slot, each element as far as it is the tone's. */
export function takeTones(
  sums: ElementSums,
  { logLikelihoods }: CodeLikelihoods,
  mark: TonePhase,
  space: TonePhase,
): void {
  mark.clear();
  space.clear();
  const markShares = new Float64Array(ELEMENTS_PER_SLOT);
  for (let slot = 0; slot < sums.slots; slot++) {
    let total = 0;
    markShares.fill(0);
    for (let code = 0; code < CODE_COUNT; code++) {
      const weight = Math.exp(logLikelihoods[slot * CODE_COUNT + code]);
      total += weight;
      for (let i = 0; i < ELEMENTS_PER_SLOT; i++) if (isMark(code, i)) markShares[i] += weight;
    }
    for (let i = 0; i < ELEMENTS_PER_SLOT; i++) {
      const at = slot * ELEMENTS_PER_SLOT + i;
      const share = markShares[i] / total;
      mark.add(slot, share * sums.markRe[at], share * sums.markIm[at]);
      space.add(slot, (1 - share) * sums.spaceRe[at], (1 - share) * sums.spaceIm[at]);
    }
  }
}

/** What the characters around each one say of an oscillator's phase. */
export class TonePhase {
  /** Sums of the tone by slot. */
  readonly ownRe: Float64Array;
  readonly ownIm: Float64Array;
  private readonly re: Float64Array;
  private readonly im: Float64Array;

  constructor(slots: number) {
    this.ownRe = new Float64Array(slots);
    this.ownIm = new Float64Array(slots);
    this.re = new Float64Array(slots);
    this.im = new Float64Array(slots);
  }

  add(slot: number, re: number, im: number): void {
    this.ownRe[slot] += re;
    this.ownIm[slot] += im;
  }

  clear(): void {
    this.ownRe.fill(0);
    this.ownIm.fill(0);
  }

  /** Takes the sums around each slot from those of the others. */
  spread(): void {
    this.re.fill(0);
    this.im.fill(0);
    const last = this.re.length - 1;
    let pastRe = 0;
    let pastIm = 0;
    let nextRe = 0;
    let nextIm = 0;
    for (let slot = 0; slot <= last; slot++) {
      const back = last - slot;
      this.re[slot] += pastRe;
      this.im[slot] += pastIm;
      this.re[back] += nextRe;
      this.im[back] += nextIm;
      pastRe = KEPT_PHASE * (pastRe + this.ownRe[slot]);
      pastIm = KEPT_PHASE * (pastIm + this.ownIm[slot]);
      nextRe = KEPT_PHASE * (nextRe + this.ownRe[back]);
      nextIm = KEPT_PHASE * (nextIm + this.ownIm[back]);
    }
  }

  /** Of a sum in a slot, over noise, its level's bias left out. */
  logLikelihood(slot: number, re: number, im: number): number {
    const aroundRe = this.re[slot];
    const aroundIm = this.im[slot];
    return lnI0(Math.hypot(re + aroundRe, im + aroundIm)) - lnI0(Math.hypot(aroundRe, aroundIm));
  }
}

import type { SoftCharacters } from './types.ts';

/** Elements kept of each character: start, five data, stop. */
export const ELEMENTS_PER_SLOT = 7;
export const CODE_COUNT = 32;

/**
 * No element is believed beyond this, in nats: a click, a splice or an error of the timing may turn any of them, and
 * one such element must not outvote a whole frame.
 */
export const CLICK_PROBABILITY = 1e-7;

/** Bounds a measured log-likelihood ratio as if each element were flipped with `CLICK_PROBABILITY`. */
export function boundLlr(llr: number): number {
  const most = -Math.log(CLICK_PROBABILITY);
  const magnitude = Math.abs(llr);
  if (magnitude > 3 * most) return Math.sign(llr) * most;
  const odds = Math.exp(magnitude);
  return Math.sign(llr) * Math.log((odds + CLICK_PROBABILITY) / (odds * CLICK_PROBABILITY + 1));
}

/**
 * Log-probabilities ln p(code | elements) of the 32 codes in one slot, codes equally likely before, no element believed
 * beyond the chance of a click; written to `out[0..31]`. They sum to one, start and stop play no part (they are the
 * timing's affair).
 */
export function codeLogPosteriors(soft: SoftCharacters, slot: number, out: Float64Array): void {
  const base = slot * ELEMENTS_PER_SLOT + 1;
  const { elementLlr } = soft;
  out[0] = 0;
  for (let bit = 0; bit < 5; bit++) {
    const llr = boundLlr(elementLlr[base + bit]);
    const mark = -Math.log1p(Math.exp(-llr));
    const space = -Math.log1p(Math.exp(llr));
    const half = 1 << bit;
    for (let code = 0; code < half; code++) {
      out[code + half] = out[code] + mark;
      out[code] += space;
    }
  }
}

import { CODE_COUNT } from '../../teletype/soft-characters.ts';
import type { PhaseTrellis } from './phase-trellis.ts';
import { sumOf } from './phase-trellis.ts';

/**
 * ln of the evidence that the first slots hold any text at all, each code as likely as the other, sent with a phase that
 * holds: what a layout must beat when it is the phase that speaks for the signal. The gains must hold all codes.
 */
export function freeTextEvidence(trellis: PhaseTrellis, slots: number): number {
  const { bins } = trellis;
  const mixed = new Float64Array(bins);
  let here = new Float64Array(bins).fill(1 / bins);
  let next = new Float64Array(bins);
  let scale = 0;
  for (let slot = 0; slot < slots; slot++) {
    trellis.mix(here, 0, mixed, 0);
    next.fill(0);
    for (let code = 0; code < CODE_COUNT; code++) trellis.key(slot, code, 1 / CODE_COUNT, mixed, 0, next, 0);
    const sum = sumOf(next, 0, bins);
    scale += Math.log(sum);
    for (let b = 0; b < bins; b++) next[b] /= sum;
    [here, next] = [next, here];
  }
  return scale;
}

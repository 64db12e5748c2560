import { Random } from '../../../decoders/simulate/random.ts';
import type { CoherentElements } from '../../../decoders/teletype/types.ts';

/** A stretch through which a phase holds, its sums drawn at random. */
export function stretch(slots: number, seed = 1): CoherentElements {
  const random = new Random(seed);
  return {
    startSeconds: 3.25,
    characterSeconds: 0.165,
    slots,
    sums: Float32Array.from({ length: 28 * slots }, () => 2 * random.gaussian()),
    markBias: -1.25,
    spaceBias: -1.5,
    stopElements: 1.5,
    turnsPerSpace: 3.74,
    slip: 0.25,
    diffusion: 0.5,
  };
}

import { lnI0 } from '../../signal/ln-i0.ts';
import { ELEMENTS_PER_SLOT } from '../../teletype/soft-characters.ts';
import type { CoherentElements } from '../../teletype/types.ts';
import { ElementSums } from './element-sums.ts';
import type { HeldPhase } from './held-phase.ts';
import { characterSecondsOf } from './signal-hypothesis.ts';

const PARTS = 4;

/** What to keep of a held phase, so that it counts beside other receptions of the same transmission. */
export function coherentElements({ surface, hypothesis, model }: HeldPhase): CoherentElements {
  const { slots, markRe, markIm, spaceRe, spaceIm, markBias, spaceBias } = surface.measure(hypothesis);
  const sums = new Float32Array(slots * ELEMENTS_PER_SLOT * PARTS);
  for (let i = 0; i < slots * ELEMENTS_PER_SLOT; i++) {
    sums[PARTS * i] = markRe[i];
    sums[PARTS * i + 1] = markIm[i];
    sums[PARTS * i + 2] = spaceRe[i];
    sums[PARTS * i + 3] = spaceIm[i];
  }
  const { startSeconds, stopElements } = hypothesis;
  const { slip, diffusion } = model;
  return {
    startSeconds,
    characterSeconds: characterSecondsOf(hypothesis),
    slots,
    sums,
    markBias,
    spaceBias,
    stopElements,
    turnsPerSpace: surface.turnsPerSpace(hypothesis),
    slip,
    diffusion,
  };
}

/** Log-likelihood ratios of a slot's elements, each measured by itself, without its phase; written to `out[at..at + 6]`. */
export function elementsWithoutPhase(
  { sums, markBias, spaceBias, stopElements }: CoherentElements,
  slot: number,
  out: Float32Array,
  at: number,
): void {
  for (let element = 0; element < ELEMENTS_PER_SLOT; element++) {
    const i = PARTS * (slot * ELEMENTS_PER_SLOT + element);
    const length = element === ELEMENTS_PER_SLOT - 1 ? stopElements : 1;
    const mark = lnI0(Math.hypot(sums[i], sums[i + 1])) + length * markBias;
    const space = lnI0(Math.hypot(sums[i + 2], sums[i + 3])) + length * spaceBias;
    out[at + element] = mark - space;
  }
}

/** The sums as they were measured. */
export function sumsOfCoherent({ slots, sums, markBias, spaceBias, stopElements }: CoherentElements): ElementSums {
  const measured = new ElementSums(slots);
  const { markRe, markIm, spaceRe, spaceIm } = measured;
  for (let i = 0; i < slots * ELEMENTS_PER_SLOT; i++) {
    markRe[i] = sums[PARTS * i];
    markIm[i] = sums[PARTS * i + 1];
    spaceRe[i] = sums[PARTS * i + 2];
    spaceIm[i] = sums[PARTS * i + 3];
  }
  measured.setBiases(markBias, spaceBias, stopElements);
  return measured;
}

import { presence } from '../../../decoders/signal/burst-level.ts';
import type { Random } from '../../../decoders/simulate/random.ts';
import { ELEMENTS_PER_SLOT } from '../../../decoders/teletype/soft-characters.ts';
import type { SoftCharacters } from '../../../decoders/teletype/types.ts';

/** Elements of a code in sending order: start, five data, stop. */
export function elementsOf(code: number): number[] {
  return [0, ...Array.from({ length: 5 }, (_, bit) => (code >> bit) & 1), 1];
}

/**
 * Soft characters as an ideal noncoherent receiver has them on orthogonal tones in white noise: each tone's correlation
 * is its level (or nothing) plus complex Gaussian noise.
 */
export function heard(codes: readonly number[], ebN0Db: number, random: Random): SoftCharacters {
  const noisePower = 1;
  const level = Math.sqrt(10 ** (ebN0Db / 10) * noisePower);
  const sigma = Math.sqrt(noisePower / 2);
  const magnitude = (present: boolean) =>
    Math.hypot((present ? level : 0) + sigma * random.gaussian(), sigma * random.gaussian());
  const elementLlr = Float32Array.from(
    codes.flatMap(elementsOf).map((mark) => {
      const markEvidence = presence(magnitude(mark === 1), level, noisePower);
      return markEvidence - presence(magnitude(mark === 0), level, noisePower);
    }),
  );
  return {
    count: elementLlr.length / ELEMENTS_PER_SLOT,
    startSeconds: Float64Array.from(codes, (_, slot) => slot * 0.165),
    elementLlr,
  };
}

/** Soft characters without any doubt. */
export function certain(codes: readonly number[]): SoftCharacters {
  return {
    count: codes.length,
    startSeconds: Float64Array.from(codes, (_, slot) => slot * 0.165),
    elementLlr: Float32Array.from(codes.flatMap(elementsOf), (mark) => (mark === 1 ? 14 : -14)),
  };
}

/** The slots `from..to-1` as soft characters of their own. */
export function sliceSlots(soft: SoftCharacters, from: number, to: number): SoftCharacters {
  return {
    count: to - from,
    startSeconds: soft.startSeconds.slice(from, to),
    elementLlr: soft.elementLlr.slice(from * ELEMENTS_PER_SLOT, to * ELEMENTS_PER_SLOT),
  };
}

/** Data elements in error where the codes fit best among the slots found; what stands before and after is not counted. */
export function fewestErrors(codes: readonly number[], llr: Float32Array): number {
  let fewest = Number.POSITIVE_INFINITY;
  for (let offset = 0; offset <= llr.length / ELEMENTS_PER_SLOT - codes.length; offset++) {
    let errors = 0;
    codes.forEach((code, k) => {
      for (let bit = 0; bit < 5; bit++) {
        if ((code >> bit) % 2 !== (llr[(k + offset) * ELEMENTS_PER_SLOT + 1 + bit] > 0 ? 1 : 0)) errors++;
      }
    });
    fewest = Math.min(fewest, errors);
  }
  return fewest;
}

import { ELEMENTS_PER_SLOT } from '../../teletype/soft-characters.ts';

/** Elements that two copies must share before anything is said of their noise. */
const FEWEST_ELEMENTS = 20 * ELEMENTS_PER_SLOT;
/** From this correlation on, two copies are two recordings of one receiver, or of one aerial's noise. */
const SAME_NOISE = 0.3;
/** Noise that has nothing in common correlates less than so many standard deviations of chance. */
const CHANCE = 4;
/** Elements on either side over which a copy's slow fading is taken out. */
const FADING_ELEMENTS = 2 * ELEMENTS_PER_SLOT;
/** Kinds of elements: mark or space, after and before a change of tone or not. */
const KINDS = 8;

/** What two copies' noise says of their origin; `unknown` where the copies are too short, or clipped. */
export type NoiseOrigin = 'same' | 'independent' | 'unknown';

/**
 * Whether two copies of one transmission bear the same noise. Noise strengthens some elements and weakens others; what
 * is left of an element's strength when everything is taken out that the sender does to all receivers alike (its tones'
 * strengths, the tones before and after, slow fading) is noise, whichever tone was sent. Independent noise leaves
 * nothing that correlates.
 *
 * @param a log-likelihood ratios of a copy's elements as measured, in order; 0 where it has none.
 * @param b the other's, of the same elements.
 */
export function noiseOrigin(a: Float32Array, b: Float32Array): NoiseOrigin {
  const likeness = noiseCorrelation(a, b);
  if (likeness === null) return 'unknown';
  const { correlation, elements } = likeness;
  return correlation >= Math.max(SAME_NOISE, CHANCE / Math.sqrt(elements)) ? 'same' : 'independent';
}

/** Correlation of the noise in two copies, and over how many elements; null where there is nothing to go by. */
export function noiseCorrelation(
  a: Float32Array,
  b: Float32Array,
): { readonly correlation: number; readonly elements: number } | null {
  const shared: number[] = [];
  for (let i = 0; i < a.length; i++) if (a[i] !== 0 && b[i] !== 0) shared.push(i);
  if (shared.length < FEWEST_ELEMENTS) return null;
  const noiseA = noiseOf(shared.map((i) => a[i]));
  const noiseB = noiseOf(shared.map((i) => b[i]));
  let product = 0;
  let powerA = 0;
  let powerB = 0;
  for (let i = 0; i < shared.length; i++) {
    product += noiseA[i] * noiseB[i];
    powerA += noiseA[i] * noiseA[i];
    powerB += noiseB[i] * noiseB[i];
  }
  if (powerA === 0 || powerB === 0) return null;
  return { correlation: product / Math.sqrt(powerA * powerB), elements: shared.length };
}

/** What noise did to the strength of each element. */
function noiseOf(llr: readonly number[]): Float64Array {
  const strength = Float64Array.from(llr, Math.abs);
  const kinds = Uint8Array.from(llr, (here, i) => {
    const mark = here > 0;
    const changed = i > 0 && llr[i - 1] > 0 !== mark;
    const changes = i + 1 < llr.length && llr[i + 1] > 0 !== mark;
    return (mark ? 4 : 0) + (changed ? 2 : 0) + (changes ? 1 : 0);
  });
  withoutKinds(strength, kinds);
  return withoutFading(strength);
}

function withoutKinds(strength: Float64Array, kinds: Uint8Array): void {
  const sums = new Float64Array(KINDS);
  const counts = new Float64Array(KINDS);
  for (let i = 0; i < strength.length; i++) {
    sums[kinds[i]] += strength[i];
    counts[kinds[i]]++;
  }
  for (let i = 0; i < strength.length; i++) strength[i] -= sums[kinds[i]] / counts[kinds[i]];
}

function withoutFading(strength: Float64Array): Float64Array {
  const { length } = strength;
  const sums = new Float64Array(length + 1);
  for (let i = 0; i < length; i++) sums[i + 1] = sums[i] + strength[i];
  return strength.map((value, i) => {
    const from = Math.max(0, i - FADING_ELEMENTS);
    const to = Math.min(length, i + FADING_ELEMENTS + 1);
    return value - (sums[to] - sums[from]) / (to - from);
  });
}

import { lnI0 } from './ln-i0.ts';

/**
 * Level of a burst in the units of its correlations over one element (|z|): the two tones' mean |z| without noise, and
 * the mean |z|^2 of noise alone. Eb/N0 of a tone is `tone^2 / noisePower`.
 */
export interface BurstLevel {
  readonly markLevel: number;
  readonly spaceLevel: number;
  readonly noisePower: number;
}

/** Cleaner than this (25 dB) nothing is gained, and small errors of the model would be taken for certainty. */
const BEST_EB_N0 = 316;

/**
 * Log-likelihood of one correlation magnitude under "tone of this level present" against "noise alone":
 * ln I0(2 level |z| / noisePower) - level^2 / noisePower, the noncoherent element likelihood (Proakis, Digital
 * Communications, noncoherent detection of orthogonal signals).
 */
export function presence(magnitude: number, level: number, noisePower: number): number {
  return lnI0((2 * level * magnitude) / noisePower) - (level * level) / noisePower;
}

/** Chance that neither tone was there in an element: a dropout, a squelch, a splice. */
const TONE_LOST = 1e-4;

/**
 * Evidence of a tone, given as ln of its likelihood over noise alone, with room left for there having been none: where a strong
 * burst is interrupted, what noise does to two tones that are both far below their level tells nothing of mark or space.
 */
export function withLoss(evidence: number): number {
  const lost = Math.log(TONE_LOST);
  const kept = evidence + Math.log1p(-TONE_LOST);
  return Math.max(kept, lost) + Math.log1p(Math.exp(-Math.abs(kept - lost)));
}

/** Log-likelihood ratio of mark against space for an element of these magnitudes. */
export function markOverSpace(mark: number, space: number, { markLevel, spaceLevel, noisePower }: BurstLevel): number {
  return withLoss(presence(mark, markLevel, noisePower)) - withLoss(presence(space, spaceLevel, noisePower));
}

/** Energy of one element over the one-sided noise density, dB, mean of the two tones. */
export function ebN0Db(level: BurstLevel): number {
  const power = (level.markLevel * level.markLevel + level.spaceLevel * level.spaceLevel) / 2;
  return 10 * Math.log10(power / level.noisePower);
}

/**
 * One round of expectation-maximisation: from the probability of mark in each element and the two tones' magnitudes
 * there, the level that explains them best. Unlike counting decisions this stays unbiased when many elements are in
 * doubt.
 */
export function estimateLevel(
  markMagnitudes: Float64Array,
  spaceMagnitudes: Float64Array,
  markProbabilities: Float64Array,
  count: number,
): BurstLevel {
  let markWeight = 0;
  let spaceWeight = 0;
  let markPower = 0;
  let spacePower = 0;
  let noise = 0;
  for (let i = 0; i < count; i++) {
    const p = markProbabilities[i];
    const mark = markMagnitudes[i] * markMagnitudes[i];
    const space = spaceMagnitudes[i] * spaceMagnitudes[i];
    markWeight += p;
    spaceWeight += 1 - p;
    markPower += p * mark;
    spacePower += (1 - p) * space;
    noise += p * space + (1 - p) * mark;
  }
  const noisePower = Math.max(noise / Math.max(1, count), 1e-30);
  const markLevelSquared = Math.max(markPower / Math.max(1e-9, markWeight) - noisePower, 0.05 * noisePower);
  const spaceLevelSquared = Math.max(spacePower / Math.max(1e-9, spaceWeight) - noisePower, 0.05 * noisePower);
  return bounded(Math.sqrt(markLevelSquared), Math.sqrt(spaceLevelSquared), noisePower);
}

/** Keeps the noise from vanishing, as it does in clean synthetic signals. */
export function bounded(markLevel: number, spaceLevel: number, noisePower: number): BurstLevel {
  const signal = (markLevel * markLevel + spaceLevel * spaceLevel) / 2;
  return { markLevel, spaceLevel, noisePower: Math.max(noisePower, signal / BEST_EB_N0, 1e-30) };
}

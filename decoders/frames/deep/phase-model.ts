/**
 * What is assumed of a sender's phase. The phase of a phase-continuous sender, seen against its mark tone, stays put
 * over a mark and turns by 2 pi h over a space (h = shift times element length), whatever the data; so the phase ties all
 * elements of a frame together. It is tracked as a probability over a circle of phases.
 */
export interface PhaseModel {
  /** Chance that the phase is lost from one character to the next. */
  readonly slip: number;
  /** Variance that the phase gains from one character to the next, rad^2. */
  readonly diffusion: number;
}

/** Every character has a phase of its own. */
export const WITHOUT_PHASE: PhaseModel = { slip: 1, diffusion: 0 };

/** Number of phase bins, 24 to 32, for which a space turns the phase by most nearly a whole number of bins. */
export function phaseBins(turnsPerSpace: number): number {
  let best = 24;
  let least = 1;
  for (let bins = 24; bins <= 32; bins++) {
    const off = Math.abs(bins * turnsPerSpace - Math.round(bins * turnsPerSpace));
    if (off < least - 1e-9) {
      least = off;
      best = bins;
    }
  }
  return best;
}

/** How far a number of spaces turns the phase: so many whole bins, and a share of the next. */
export interface PhaseTurn {
  readonly whole: number;
  readonly part: number;
}

/** A turn smaller than this share of a bin is none. */
const LEAST_PART = 1e-4;

export function phaseTurn(bins: number, turns: number): PhaseTurn {
  const exact = bins * (turns - Math.floor(turns));
  const near = Math.round(exact);
  if (Math.abs(exact - near) < LEAST_PART) return { whole: near % bins, part: 0 };
  return { whole: Math.floor(exact) % bins, part: exact - Math.floor(exact) };
}

/** Widest kernel in standard deviations. */
const REACH = 3.5;

/** Symmetric weights over -reach..reach bins with the variance of `diffusion` (rad^2), sum one. */
export function diffusionKernel(bins: number, diffusion: number): Float64Array {
  const variance = diffusion / ((2 * Math.PI) / bins) ** 2;
  if (variance <= 0.5) return Float64Array.of(variance / 2, 1 - variance, variance / 2);
  const reach = Math.min(Math.floor((bins - 1) / 2), Math.ceil(REACH * Math.sqrt(variance)));
  const weights = Float64Array.from({ length: 2 * reach + 1 }, (_, i) => Math.exp(-((i - reach) ** 2) / 2 / variance));
  const sum = weights.reduce((total, weight) => total + weight, 0);
  return weights.map((weight) => weight / sum);
}

/**
 * What is assumed of a sender's phase. The phase psi of a phase-continuous sender, seen against its mark tone, stays put
 * over a mark and turns by 2 pi h over a space (h = shift times element length), whatever the data; so the phase ties all
 * elements of a frame together. It is tracked as a probability over `bins` phases.
 */
export interface PhaseModel {
  /** Chance that the phase is lost at an element; 1 is the noncoherent receiver. */
  readonly slip: number;
  /** Whether a change of tone loses the phase (a sender that switches between oscillators). */
  readonly lostAtChange: boolean;
  /** Variance that the phase gains in each element, rad^2. */
  readonly diffusion: number;
}

export const NONCOHERENT: PhaseModel = { slip: 1, lostAtChange: false, diffusion: 0.002 };

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

/** Turn by whole bins and a three-tap kernel that adds the rest of the turn and the diffusion. */
export interface PhaseTurn {
  readonly bins: number;
  readonly before: number;
  readonly same: number;
  readonly after: number;
}

/** A kernel over -1, 0, +1 bins with the given mean and variance; the variance is raised where it must be. */
export function phaseTurn(bins: number, turns: number, diffusion: number): PhaseTurn {
  const whole = Math.round(bins * turns);
  const mean = bins * turns - whole;
  const binRadians = (2 * Math.PI) / bins;
  const variance = Math.max(diffusion / (binRadians * binRadians), Math.abs(mean) - mean * mean);
  // Three taps can spread no farther than one bin.
  const square = Math.min(1, variance + mean * mean);
  return {
    bins: ((whole % bins) + bins) % bins,
    // Rounding must not make a tap negative: its logarithm is taken in the end.
    before: Math.max(0, (square - mean) / 2),
    same: Math.max(0, 1 - square),
    after: Math.max(0, (square + mean) / 2),
  };
}

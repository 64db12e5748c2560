/**
 * Linear-phase filter design with the Kaiser window: J. F. Kaiser's formulas as Oppenheim and Schafer, Discrete-Time
 * Signal Processing, section 7.5.3, give them.
 */

/** Shape of the Kaiser window for ripples of `attenuationDb` below one. */
export function kaiserBeta(attenuationDb: number): number {
  if (attenuationDb > 50) return 0.1102 * (attenuationDb - 8.7);
  if (attenuationDb > 21) return 0.5842 * (attenuationDb - 21) ** 0.4 + 0.07886 * (attenuationDb - 21);
  return 0;
}

/** Taps that reach `attenuationDb` over a transition band given as a share of the sampling rate. */
export function kaiserTapCount(attenuationDb: number, transition: number): number {
  return Math.ceil((attenuationDb - 7.95) / (2.285 * 2 * Math.PI * transition) + 1);
}

/** What so many taps reach over such a transition band: `kaiserTapCount` the other way round, at most 80 dB. */
export function kaiserAttenuationDb(count: number, transition: number): number {
  return Math.min(80, 7.95 + 2.285 * 2 * Math.PI * transition * (count - 1));
}

/**
 * Windowed-sinc low-pass with a gain of one at frequency zero.
 *
 * @param cutoff middle of the transition band (half the amplitude) as a share of the sampling rate, 0..0.5.
 */
export function lowPassTaps(count: number, cutoff: number, beta: number): Float64Array {
  const taps = new Float64Array(count);
  const middle = (count - 1) / 2;
  const edge = besselI0(beta);
  let sum = 0;
  for (let i = 0; i < count; i++) {
    const x = i - middle;
    const u = middle === 0 ? 0 : x / middle;
    const sinc = x === 0 ? 2 * cutoff : Math.sin(2 * Math.PI * cutoff * x) / (Math.PI * x);
    taps[i] = (sinc * besselI0(beta * Math.sqrt(Math.max(0, 1 - u * u)))) / edge;
    sum += taps[i];
  }
  for (let i = 0; i < count; i++) taps[i] /= sum;
  return taps;
}

/** I0(x) by its power series, which converges at once for the small arguments of window design. */
function besselI0(x: number): number {
  const quarter = (x * x) / 4;
  let term = 1;
  let sum = 1;
  for (let k = 1; term > 1e-17 * sum; k++) {
    term *= quarter / (k * k);
    sum += term;
  }
  return sum;
}

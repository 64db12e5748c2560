import type { Oscillator } from './kernel.ts';

/** An oscillator that is turned on from sample to sample is set anew so often, against rounding. */
export const RENEW_SAMPLES = 4096;

/** Phase at a sample, and the turn from there to the next. */
export function oscillatorAt({ phase, turn, twist }: Oscillator, sample: number): { phase: number; turn: number } {
  return { phase: phase + (turn + (twist * sample) / 2) * sample, turn: turn + twist * (sample + 0.5) };
}

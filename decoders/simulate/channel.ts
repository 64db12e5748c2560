import type { NoiseLevel } from './noise.ts';
import { noiseSigma } from './noise.ts';
import type { Random } from './random.ts';

/** Adds white noise to `samples` so that a signal of `signalPower` in it stands at the stated Eb/N0. */
export function addNoiseAtEbN0(samples: Float32Array, level: NoiseLevel & { readonly random: Random }): void {
  level.random.addGaussian(samples, noiseSigma(level));
}

/** Mean square of `samples`; 0 for none. */
export function meanPower(samples: Float32Array): number {
  let sum = 0;
  for (let i = 0; i < samples.length; i++) sum += samples[i] * samples[i];
  return samples.length === 0 ? 0 : sum / samples.length;
}

/**
 * Adds `added`, scaled by `gain`, to `target` from `atSample` on (whole samples, may be negative). What does not fit is
 * left out.
 */
export function mixInto(target: Float32Array, added: Float32Array, atSample: number, gain = 1): void {
  const from = Math.max(0, atSample);
  const to = Math.min(target.length, atSample + added.length);
  for (let i = from; i < to; i++) target[i] += gain * added[i - atSample];
}

/** Gain that brings a sound of mean power `power` to `levelDb` above `referencePower`; 0 for silence. */
export function gainForLevel(power: number, referencePower: number, levelDb: number): number {
  return power > 0 ? Math.sqrt((referencePower * 10 ** (levelDb / 10)) / power) : 0;
}

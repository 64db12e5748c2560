import { WORKING_RATE_HZ } from './decimate.ts';
import type { Kernel } from './kernel/kernel.ts';
import { FRAMES_AT_ONCE } from './kernel/kernel.ts';

/** Samples of a frame (32 ms) and between frames, at the working rate. */
export const FRAME = 256;
export const HOP = 128;
export const BIN_HZ = WORKING_RATE_HZ / FRAME;
/** Bins that are looked at: 281 to 3125 Hz. */
export const FIRST_BIN = 9;
export const BINS = 92;
/** Samples from the first frame's begin to the last one's end, of those that are analysed at once. */
export const FRAMES_SPAN = FRAME + (FRAMES_AT_ONCE - 1) * HOP;

export interface Spectrograph {
  /** Power in `BINS` bins from `FIRST_BIN` on of each of the frames last analysed, `FRAMES_AT_ONCE` of them. */
  readonly powers: readonly Float32Array[];
  /** Analyses the frames that begin at `at`, `at + HOP` and so on. */
  analyse(samples: Float32Array, at: number): void;
}

/** Hann-windowed power spectra. */
export function createSpectrograph(kernel: Kernel): Spectrograph {
  const window = Float32Array.from({ length: FRAME }, (_, i) => 0.5 - 0.5 * Math.cos((2 * Math.PI * i) / FRAME));
  const powers = Array.from({ length: FRAMES_AT_ONCE }, () => new Float32Array(BINS));
  return {
    powers,
    analyse: (samples, at) => kernel.framePowers(samples, at, { window, firstBin: FIRST_BIN }, powers),
  };
}

import { createToneSums, type ToneSums } from './envelopes.ts';
import type { Tone } from './kernel/kernel.ts';

/** Tones that are correlated over one window, each once: the pairs that are looked at there share them. */
export interface ToneBank {
  readonly tones: readonly Tone[];
  /** Forgets all tones: another window begins. */
  clear(): void;
  /** Asks for a tone's sums. They are there when `tones` have been correlated, and hold until `clear`. */
  sumsOf(hz: number, hzPerSecond: number): ToneSums;
}

/** @param slots most slots of a window. */
export function createToneBank(slots: number): ToneBank {
  const spare: ToneSums[] = [];
  const tones: Tone[] = [];
  return {
    tones,
    clear() {
      for (const { sums } of tones) spare.push(sums);
      tones.length = 0;
    },
    sumsOf(hz, hzPerSecond) {
      for (const tone of tones) if (tone.hz === hz && tone.hzPerSecond === hzPerSecond) return tone.sums;
      const sums = spare.pop() ?? createToneSums(slots);
      tones.push({ hz, hzPerSecond, sums });
      return sums;
    },
  };
}

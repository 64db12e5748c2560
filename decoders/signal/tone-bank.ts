import { createToneSums, type ToneSums } from './envelopes.ts';

/** Tones that were correlated over one window, each once: the pairs that are looked at there share them. */
export interface ToneBank {
  /** Forgets all tones: another window begins. */
  clear(): void;
  /** Sums of a tone, which `correlate` fills unless they are known. They hold until `clear`. */
  sumsOf(hz: number, hzPerSecond: number, correlate: (sums: ToneSums) => void): ToneSums;
}

/** @param slots most slots of a window. */
export function createToneBank(slots: number): ToneBank {
  const kept: { hz: number; hzPerSecond: number; readonly sums: ToneSums }[] = [];
  let used = 0;
  return {
    clear() {
      used = 0;
    },
    sumsOf(hz, hzPerSecond, correlate) {
      for (let i = 0; i < used; i++) {
        if (kept[i].hz === hz && kept[i].hzPerSecond === hzPerSecond) return kept[i].sums;
      }
      if (used === kept.length) kept.push({ hz, hzPerSecond, sums: createToneSums(slots) });
      const entry = kept[used++];
      entry.hz = hz;
      entry.hzPerSecond = hzPerSecond;
      correlate(entry.sums);
      return entry.sums;
    },
  };
}

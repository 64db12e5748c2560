import { RATE_FFT } from './character-rate.ts';
import { createFft } from './fft.ts';
import { createIrregularMeasurer, type IrregularMeasurer } from './irregular.ts';
import type { Kernel } from './kernel/kernel.ts';
import { createMeasurer, type Measurer } from './measure.ts';
import { BINS, createSpectrograph, type Spectrograph } from './spectrogram.ts';
import { createToneBank, type ToneBank } from './tone-bank.ts';

/** Elements a keying value spans, in slots of half an element. */
export const SLOTS = 2;

/**
 * What a search works with while it looks at one window, and needs no longer than that: searches that take turns, as those of
 * a band's slices do, share one.
 */
export interface SearchWorkshop {
  readonly kernel: Kernel;
  readonly spectrograph: Spectrograph;
  readonly measurer: Measurer;
  readonly irregular: IrregularMeasurer;
  readonly tones: ToneBank;
  /** A row of bins. */
  readonly row: Float32Array;
  /** Keying of one pair of tones. */
  readonly keying: Float64Array;
  readonly rateFfts: Readonly<Record<512 | 1024, ReturnType<typeof createFft>>>;
}

export function createSearchWorkshop(kernel: Kernel): SearchWorkshop {
  return {
    kernel,
    spectrograph: createSpectrograph(kernel),
    measurer: createMeasurer(kernel),
    irregular: createIrregularMeasurer(kernel),
    tones: createToneBank(RATE_FFT + SLOTS),
    row: new Float32Array(BINS),
    keying: new Float64Array(RATE_FFT + SLOTS),
    rateFfts: { 512: createFft(512), 1024: createFft(1024) },
  };
}

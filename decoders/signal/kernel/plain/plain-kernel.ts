import type { Kernel } from '../kernel.ts';
import { boxMean } from './boxes.ts';
import { correlateTone } from './correlate.ts';
import { filterDown } from './filter.ts';
import { mixDown } from './mix-down.ts';
import { framePowers } from './spectra.ts';

/** Runs everywhere, and says what the other kernel must give. */
export const plainKernel: Kernel = {
  correlateTones(samples, slots, tones) {
    for (const tone of tones) correlateTone(samples, slots, tone);
  },
  filterDown,
  framePowers,
  mixDown,
  boxMeans(rows, first, shears, means) {
    for (let i = 0; i < shears.length; i++) boxMean(rows, first, shears[i], means[i]);
  },
};

import { BurstReader, type BurstReaderOptions } from '../teletype/burst-reader.ts';
import type { ReadBurst } from '../teletype/read-acquired.ts';
import type { BandHistory } from './band-history.ts';
import { type Tuning, viewBand } from './band-view.ts';
import { discriminate } from './discriminate.ts';

/**
 * Half widths of the filter before the discriminator, after Carson's rule for the deviations in use: peak deviation and
 * highest tone together (J. R. Carson, Notes on the theory of modulation, 1922). The one that reads best counts.
 */
const HALF_WIDTHS_HZ = [3200, 4600, 7000];
const TRANSITION_HZ = 1200;
/** Rate over the half width: the phase then seldom turns so far from one sample to the next that its sense is lost. */
const OVERSAMPLING = 4;
/** Audio around the burst, for the search to find it in. */
const AROUND_SECONDS = 4;

export type FmReadingOptions = Pick<BurstReaderOptions, 'alphabet' | 'bauds' | 'beacons'>;

/**
 * Reads a burst as tones on an FM carrier, through a discriminator that follows the carrier; null where that gives none. No
 * frequency beyond the filter counts: what lies there is a click.
 */
export function readFm(
  history: BandHistory,
  tuning: Tuning,
  span: { readonly startSeconds: number; readonly endSeconds: number },
  options: FmReadingOptions,
): ReadBurst | null {
  let best: ReadBurst | null = null;
  const middle = (span.startSeconds + span.endSeconds) / 2;
  const take = (read: ReadBurst) => {
    const isIt = read.burst.startSeconds < middle && read.burst.endSeconds > middle;
    if (isIt && read.burst.ebN0Db > (best?.burst.ebN0Db ?? Number.NEGATIVE_INFINITY)) best = read;
  };
  for (const halfWidthHz of HALF_WIDTHS_HZ) {
    if (2 * (halfWidthHz + TRANSITION_HZ) > history.sampleRateHz) continue;
    const { re, im, rateHz, startSeconds } = viewBand(
      history,
      tuning,
      span.startSeconds - AROUND_SECONDS,
      span.endSeconds + AROUND_SECONDS,
      { passHz: halfWidthHz, stopHz: halfWidthHz + TRANSITION_HZ, leastRateHz: OVERSAMPLING * halfWidthHz },
    );
    const reader = new BurstReader({ ...options, sampleRateHz: rateHz, startSeconds });
    reader.push(discriminate(re, im, rateHz, halfWidthHz), take);
    reader.end(take);
  }
  return best;
}

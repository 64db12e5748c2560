import type { ReceiverTuning } from '../../decoders/audio/types.ts';
import type { BandClaim } from '../store/records.ts';

/** What a sender may say of a complex band; what is left out stays as it was. */
export interface BandWords {
  readonly iq?: boolean;
  readonly centerHz?: number;
  readonly tuning?: ReceiverTuning['mode'];
  readonly referenceErrorPpm?: number | null;
}

/** What a sender's words make of what was said before; null where nothing is said. */
export function bandClaimOf(words: BandWords, before: BandClaim | null = null): BandClaim | null {
  const { iq, centerHz, tuning, referenceErrorPpm } = words;
  if ([iq, centerHz, tuning, referenceErrorPpm].every((each) => each === undefined)) return before;
  const isTuned = tuning !== undefined || referenceErrorPpm !== undefined;
  return {
    isBand: iq ?? before?.isBand ?? false,
    centerHz: centerHz ?? before?.centerHz ?? null,
    tuning: isTuned
      ? {
          mode: tuning ?? before?.tuning?.mode ?? 'unknown',
          referenceErrorPpm:
            referenceErrorPpm === undefined ? (before?.tuning?.referenceErrorPpm ?? null) : referenceErrorPpm,
        }
      : (before?.tuning ?? null),
  };
}

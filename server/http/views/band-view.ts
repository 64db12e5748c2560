import type { StoredRecording } from '../../store/records.ts';
import type { Recording } from '../messages.ts';

type BandView = NonNullable<Recording['audio']>['iq'];

/** A recording as a complex band; null for sound. Of the tuning its sender knows better than the file. */
export function bandView({ audio, bandClaim }: Pick<StoredRecording, 'audio' | 'bandClaim'>): BandView {
  if (!audio?.iq) return null;
  const { captures, tuning: stated } = audio.iq;
  const said = bandClaim?.tuning ?? null;
  const tuning = said ?? stated ?? { mode: 'unknown', referenceErrorPpm: null };
  return {
    captures: captures.length,
    centerHz: captures[0]?.centerHz ?? null,
    tuning: tuning.mode,
    tuningSource: said !== null ? 'sender' : stated ? 'file' : null,
    referenceErrorPpm: tuning.referenceErrorPpm,
  };
}

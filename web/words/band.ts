import type { Recording, RecordingBurst } from '../../server/http/messages.ts';
import { numberText, valueText } from './number.ts';

type Carrier = NonNullable<RecordingBurst['carrier']>;
type Band = NonNullable<NonNullable<Recording['audio']>['iq']>;

/** A frequency on the air to the hertz: `145.895001 MHz`. */
export function onAirText(hz: number): string {
  return valueText(hz / 1e6, 'MHz', 6);
}

/** A distance from the middle of a band, with its sign: `+812.4 Hz`. */
export function offsetText(hz: number): string {
  return `${hz > 0 ? '+' : ''}${valueText(hz, 'Hz', 1)}`;
}

/** The tones of a burst; of a keyed carrier, whose tones are no sound, how it was keyed and where it stood. */
export function tonesText({
  markHz,
  spaceHz,
  carrier,
}: Pick<RecordingBurst, 'markHz' | 'spaceHz'> & {
  readonly carrier: Pick<Carrier, 'modulation' | 'carrierHz' | 'absoluteHz'> | null;
}): string {
  const tones = `mark ${valueText(markHz, 'Hz', 0)}, space ${valueText(spaceHz, 'Hz', 0)}`;
  if (carrier === null) return tones;
  const { modulation, carrierHz, absoluteHz } = carrier;
  const where =
    absoluteHz === null ? `${offsetText(carrierHz)} from the middle of the band` : `at ${onAirText(absoluteHz)}`;
  if (modulation === 'fm') return `${tones}, on an FM carrier ${where}`;
  return `carrier ${where} keyed by ${valueText(Math.abs(markHz - spaceHz), 'Hz', 0)}, mark the ${markHz < spaceHz ? 'lower' : 'upper'}`;
}

/** What a recording of a band is. */
export function bandText({ centerHz, captures }: Band, sampleRateHz: number): string {
  const around = centerHz === null ? '' : ` around ${onAirText(centerHz)}`;
  const retuned = captures > 1 ? `, ${captures} captures, told of the first` : '';
  return `I/Q, ${valueText(sampleRateHz / 1000, 'kHz')} wide${around}${retuned}`;
}

/** What is known of how the receiver was tuned, and what that makes of frequencies. */
export function tuningText({
  tuning,
  referenceErrorPpm,
  centerHz,
}: Pick<Band, 'tuning' | 'referenceErrorPpm' | 'centerHz'>): string {
  const how = {
    fixed: 'The receiver stood fixed on one frequency',
    'doppler-corrected':
      'The receiver was led along with the expected Doppler, which is not in the frequencies any more',
    retuned: 'The receiver was retuned in steps that the file states, which frequencies on the air take into account',
    unknown: 'Nobody has said how the receiver was tuned',
  }[tuning];
  if (referenceErrorPpm === null) return `${how}; how far its reference is off is not known.`;
  const here = centerHz === null ? '' : `, ${valueText((referenceErrorPpm * centerHz) / 1e6, 'Hz', 0)} here`;
  return `${how}; its reference is right to ${numberText(referenceErrorPpm)} ppm${here}.`;
}

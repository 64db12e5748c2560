import type { Recording } from '../../server/http/messages.ts';
import { countText } from './number.ts';

type Outcome = Pick<Recording, 'status' | 'progress' | 'bursts' | 'frames' | 'presence'>;

/** What became of a recording, short enough for a list. */
export function outcomeText({ status, progress, bursts, frames, presence }: Outcome): string {
  switch (status) {
    case 'waiting':
      return 'waits for its turn';
    case 'decoding':
      return `${Math.round(progress * 100)} % decoded, ${countText(frames, 'frame')} so far`;
    case 'failed':
      return 'could not be decoded';
    case 'decoded':
      return (
        [
          ...(bursts > 0 ? [`${countText(bursts, 'burst')}, ${countText(frames, 'frame')}`] : []),
          ...(presence.length > 0 ? ['beacon present, not readable'] : []),
        ].join('; ') || 'no keyed burst found'
      );
  }
}

/** What to try when nothing was found. */
export const NO_BURST_ADVICE: readonly string[] = [
  'Was the beacon due? It is keyed about once a minute; record a whole pass, with no cuts.',
  'Listen to it: two alternating tones, a warble of a few seconds. If you hear it and it was not found, the team would like to know.',
  'Record the receiver’s sound directly, with squelch open and noise reduction off; both cut weak tones.',
  'With a single-sideband receiver the pitch must stay between about 300 and 3400 Hz.',
];

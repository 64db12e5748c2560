import type { FrameWithReadings } from '../../../decoders/decode.ts';
import { LIVE_TIME_ACCURACY_SECONDS, type LiveEvent } from '../../../decoders/live/index.ts';
import type { Mission } from '../../../decoders/mission/types.ts';
import { ndjsonFormat } from '../output/ndjson.ts';
import { printable } from '../output/printable.ts';
import { textFormat } from '../output/text.ts';
import { burstRecord, type FrameRecord, frameRecord } from '../records.ts';

export type LiveFormatName = 'text' | 'ndjson';

/** What is printed of an event, at once; empty for nothing. */
export type LivePrinter = (event: LiveEvent) => string;

export function livePrinter(name: LiveFormatName, missions: readonly Mission[], startedAt: string): LivePrinter {
  return name === 'text' ? textPrinter(missions, startedAt) : ndjsonPrinter(startedAt);
}

function recordsOf(event: Extract<LiveEvent, { type: 'burst' }>, startedAt: string) {
  const { burst, frames } = event;
  return [burstRecord(burst), ...frames.map((frame) => liveFrame(frame, startedAt))];
}

/** A frame that was received while it was sent: this computer's clock dates it. */
function liveFrame(frame: FrameWithReadings, startedAt: string): FrameRecord {
  const { startSeconds } = frame.frame;
  const at = new Date(Date.parse(startedAt) + Math.round(1000 * startSeconds)).toISOString();
  const received = { at, source: 'clock', uncertaintySeconds: LIVE_TIME_ACCURACY_SECONDS };
  return frameRecord(frame, frame.frame, received);
}

/** One object a line; readers pass over the kinds that they do not know. */
function ndjsonPrinter(startedAt: string): LivePrinter {
  const { print } = ndjsonFormat();
  return (event) => {
    switch (event.type) {
      case 'level':
        return '';
      case 'burst':
        return recordsOf(event, startedAt).map(print).join('');
      case 'frames':
        return event.frames
          .map((frame) => liveFrame(frame, startedAt))
          .map((record) => `${JSON.stringify({ ...record, type: 'provisional-frame', reception: event.reception })}\n`)
          .join('');
      default:
        return `${JSON.stringify(event)}\n`;
    }
  };
}

/** Characters in a line of their own as they come, marked provisional; then the burst as `decode` prints it. */
function textPrinter(missions: readonly Mission[], startedAt: string): LivePrinter {
  const { print } = textFormat(missions);
  /** The reception whose line is open. */
  let open: number | null = null;
  const close = (): string => {
    const ending = open === null ? '' : '\n';
    open = null;
    return ending;
  };
  return (event) => {
    switch (event.type) {
      case 'character': {
        const text = printable(event.text);
        if (open === event.reception) return text;
        const before = close();
        open = event.reception;
        return `${before}# provisional: ${text}`;
      }
      case 'released':
        return event.reception === open ? close() : '';
      case 'burst':
        return close() + recordsOf(event, startedAt).map(print).join('');
      default:
        return '';
    }
  };
}

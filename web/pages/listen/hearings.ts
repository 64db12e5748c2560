import type { FrameWithReadings } from '../../../decoders/decode.ts';
import type { LiveCharacter, LiveEvent } from '../../../decoders/live/types.ts';
import { type TapeColumn, tapeColumns } from '../../tape/columns.ts';

/** One burst as far as it is known. */
export interface Hearing {
  /** Unique among the hearings of a session. */
  readonly id: string;
  /** Still a guess: its burst has not been read as a whole. */
  readonly provisional: boolean;
  /** Nothing more is coming. */
  readonly over: boolean;
  readonly startMs: number;
  readonly endMs: number;
  readonly baud: number;
  readonly markHz: number;
  readonly spaceHz: number;
  readonly ebN0Db: number | null;
  readonly text: string;
  readonly columns: readonly TapeColumn[];
  readonly frames: readonly FrameWithReadings[];
}

/** A guess that no burst bore out so long after it ended is dropped. */
const PATIENCE_MS = 60_000;
/** A phone listens all night: only so many are shown. */
const MOST_SHOWN = 200;

/**
 * What is shown after another event: guesses grow, and give way to the burst that they were of. Newest last.
 * @param stream number of the unbroken stream that the event is of
 * @param streamMs when that began
 */
export function afterEvent(
  hearings: readonly Hearing[],
  stream: number,
  streamMs: number,
  event: LiveEvent,
): readonly Hearing[] {
  const id = (reception: number) => `${stream}.${reception}`;
  const ms = (seconds: number) => streamMs + 1000 * seconds;
  switch (event.type) {
    case 'level': {
      const nowMs = ms(event.endSeconds);
      const isStale = (one: Hearing) => one.provisional && one.over && nowMs - one.endMs > PATIENCE_MS;
      return hearings.some(isStale) ? hearings.filter((one) => !isStale(one)) : hearings;
    }
    case 'acquired': {
      const { baud, markHz, spaceHz } = event;
      const startMs = ms(event.startSeconds);
      const tones = { baud, markHz, spaceHz, ebN0Db: null };
      const begun = { provisional: true, over: false, startMs, endMs: startMs, text: '', columns: [], frames: [] };
      return [...hearings, { id: id(event.reception), ...begun, ...tones }].slice(-MOST_SHOWN);
    }
    case 'character':
      return changed(hearings, id(event.reception), (one) => ({
        ...one,
        endMs: ms(event.endSeconds),
        text: one.text + event.text,
        columns: [...one.columns, columnOf(event)],
      }));
    case 'frames':
      return changed(hearings, id(event.reception), (one) => ({ ...one, frames: event.frames }));
    case 'released':
      return changed(hearings, id(event.reception), (one) => ({ ...one, over: true }));
    case 'burst': {
      const { burst, frames } = event;
      const guesses = new Set(event.receptions.map(id));
      const settled: Hearing = {
        id: `${stream} at ${burst.startSeconds}`,
        provisional: false,
        over: true,
        startMs: ms(burst.startSeconds),
        endMs: ms(burst.endSeconds),
        baud: burst.baud,
        markHz: burst.markHz,
        spaceHz: burst.spaceHz,
        ebN0Db: burst.ebN0Db,
        text: burst.text,
        columns: columnsOf(burst),
        frames,
      };
      const others = hearings.flatMap((one) => (guesses.has(one.id) ? restOf(one, burst.endSeconds, streamMs) : [one]));
      return [...others, settled].sort((a, b) => a.startMs - b.startMs).slice(-MOST_SHOWN);
    }
  }
}

/** What of a guess goes on after the burst that it began with. */
function restOf(one: Hearing, endSeconds: number, streamMs: number): Hearing[] {
  const columns = one.columns.filter(({ startSeconds }) => startSeconds > endSeconds);
  if (columns.length === 0) return [];
  const text = columns.map((column) => column.text).join('');
  return [{ ...one, startMs: streamMs + 1000 * columns[0].startSeconds, columns, text, frames: [] }];
}

function changed(hearings: readonly Hearing[], id: string, change: (one: Hearing) => Hearing): readonly Hearing[] {
  return hearings.map((one) => (one.id === id ? change(one) : one));
}

function columnOf({ slot, startSeconds, elementLlr, text, confidence }: LiveCharacter): TapeColumn {
  const [column] = tapeColumns(
    [{ slot, startSeconds, elements: [...elementLlr] }],
    text === '' ? [] : [{ slot, text, confidence }],
  );
  return column;
}

function columnsOf({ soft, characters }: Extract<LiveEvent, { type: 'burst' }>['burst']): TapeColumn[] {
  const slots = Array.from({ length: soft.count }, (_, slot) => ({
    slot,
    startSeconds: soft.startSeconds[slot],
    elements: Array.from(soft.elementLlr.subarray(7 * slot, 7 * slot + 7)),
  }));
  return tapeColumns(slots, [...characters]);
}

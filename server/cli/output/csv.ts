import type { Mission } from '../../../decoders/mission/types.ts';
import type { BurstRecord, FrameRecord } from '../records.ts';
import type { Format } from './format.ts';

type Cell = string | number | boolean | null;
type Columns<T> = readonly (readonly [name: string, cell: (row: T) => Cell])[];

interface Row<T> {
  readonly file: string | null;
  readonly row: T;
}

const burstColumns: Columns<Row<BurstRecord>> = [
  ['file', ({ file }) => file],
  ['start_seconds', ({ row }) => row.startSeconds],
  ['end_seconds', ({ row }) => row.endSeconds],
  ['baud', ({ row }) => row.baud],
  ['mark_hz', ({ row }) => row.markHz],
  ['space_hz', ({ row }) => row.spaceHz],
  ['eb_n0_db', ({ row }) => row.ebN0Db],
  ['text', ({ row }) => row.text],
];

const readingColumns: Columns<Row<{ frame: FrameRecord; reading: FrameRecord['readings'][number] }>> = [
  ['file', ({ file }) => file],
  ['mission', ({ row }) => row.frame.mission],
  ['frame', ({ row }) => row.frame.frame],
  ['start_seconds', ({ row }) => row.frame.startSeconds],
  ['received_at', ({ row }) => row.frame.receivedAt],
  ['parameter', ({ row }) => row.reading.parameter],
  ['value', ({ row }) => row.reading.value],
  ['unit', ({ row }) => row.reading.unit],
  ['trust', ({ row }) => row.reading.trust],
  ['confidence', ({ row }) => row.reading.confidence],
  ['limit', ({ row }) => row.reading.limit],
  ['received_at_source', ({ row }) => row.frame.receivedAtSource],
  ['received_at_uncertainty_seconds', ({ row }) => row.frame.receivedAtUncertaintySeconds],
];

/** One table: a row a reading, or a row a burst where there is no mission to give readings (RFC 4180, lines end in LF). */
export function csvFormat(missions: readonly Mission[]): Format {
  let file: string | null = null;
  return {
    head: line((missions.length > 0 ? readingColumns : burstColumns).map(([name]) => name)),
    print(record) {
      switch (record.type) {
        case 'recording':
        case 'text':
          file = record.file;
          return '';
        case 'presence':
          return '';
        case 'burst':
          return missions.length > 0 ? '' : row(burstColumns, { file, row: record });
        case 'frame':
          return record.readings
            .map((reading) => row(readingColumns, { file, row: { frame: record, reading } }))
            .join('');
      }
    },
  };
}

function row<T>(columns: Columns<T>, value: T): string {
  return line(columns.map(([, cell]) => cell(value)));
}

function line(cells: readonly Cell[]): string {
  return `${cells.map(quoted).join(',')}\n`;
}

/**
 * A spreadsheet takes a text that begins like a formula for one, and runs it: what came over the air gets an apostrophe
 * before it, which spreadsheets take as "this is text".
 */
function quoted(cell: Cell): string {
  if (cell === null) return '';
  if (typeof cell !== 'string') return String(cell);
  const harmless = /^[=+\-@\t\r]/.test(cell) ? `'${cell}` : cell;
  return /[",\r\n]/.test(harmless) ? `"${harmless.replaceAll('"', '""')}"` : harmless;
}

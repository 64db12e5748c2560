import type { Database } from 'better-sqlite3';
import type { ChecksumState } from '../../../decoders/frames/types.ts';
import { packFrameCharacters, unpackFrameCharacters } from '../pack/characters.ts';
import type { FrameSource, Instant, NewFrame, RereadFrame, StoredFrame } from '../records.ts';
import { phaseCode, phaseOf, trustCode, trustOf } from './codes.ts';
import { readingWriter } from './reading-rows.ts';

/** Columns of a frame, to be followed by `from frames f ...`. */
export const FRAME_COLUMNS = `f.id, f.mission as mission_key, (select id from missions where key = f.mission) as mission,
  f.version, f.readings_version, f.received_at, f.received_at_source,
  f.received_at_uncertainty_seconds, f.added_at, f.station, f.vouched, f.phase, f.recording, f.burst, f.line,
  f.kind, f.text, f.start_seconds, f.end_seconds, f.complete, f.checksum, f.trust, f.confidence, f.fields, f.characters,
  f.decision`;

export interface FrameRow {
  readonly id: number;
  readonly mission_key: number;
  readonly mission: string;
  readonly version: number;
  readonly readings_version: number;
  readonly received_at: number | null;
  readonly received_at_source: string | null;
  readonly received_at_uncertainty_seconds: number | null;
  readonly added_at: number;
  readonly station: string;
  readonly vouched: number;
  readonly phase: number;
  readonly recording: number | null;
  readonly burst: number | null;
  readonly line: number | null;
  readonly kind: string;
  readonly text: string;
  readonly start_seconds: number;
  readonly end_seconds: number;
  readonly complete: number;
  readonly checksum: ChecksumState;
  readonly trust: number;
  readonly confidence: number;
  readonly fields: string;
  readonly characters: string;
  readonly decision: string;
}

export function frameOf(row: FrameRow): StoredFrame {
  return {
    id: row.id,
    mission: row.mission,
    version: row.version,
    readingsVersion: row.readings_version,
    receivedAt: row.received_at,
    receivedAtSource: row.received_at_source,
    receivedAtUncertaintySeconds: row.received_at_uncertainty_seconds,
    addedAt: row.added_at,
    station: row.station,
    vouched: row.vouched === 1,
    phase: phaseOf(row.phase),
    source: sourceOf(row),
    decoded: {
      frame: row.kind,
      text: row.text,
      startSeconds: row.start_seconds,
      endSeconds: row.end_seconds,
      complete: row.complete === 1,
      checksum: row.checksum,
      trust: trustOf(row.trust),
      confidence: row.confidence,
      fields: JSON.parse(row.fields),
      characters: unpackFrameCharacters(row.characters),
      decision: JSON.parse(row.decision),
    },
  };
}

function sourceOf(row: FrameRow): FrameSource {
  if (row.recording !== null && row.burst !== null) {
    return { kind: 'recording', recording: row.recording, burst: row.burst };
  }
  if (row.line !== null) return { kind: 'line', line: row.line };
  throw new Error(`frame ${row.id} has no source`);
}

/** Writes and removes frames with their readings; part of the transaction of what brought them. */
export interface FrameWriter {
  insert(frame: NewFrame, source: FrameSource, at: Instant): number;
  /** Makes another of a stored frame; its id and when it was added stay. */
  rewrite(id: number, frame: NewFrame, source: FrameSource): void;
  /** Gives a stored frame other readings. */
  reread(frame: RereadFrame): void;
  remove(id: number): void;
}

type FrameColumns = Omit<FrameRow, 'id' | 'mission_key' | 'mission' | 'added_at'> & { readonly mission: number };

const WRITTEN: readonly (keyof FrameColumns)[] = [
  'mission',
  'version',
  'readings_version',
  'received_at',
  'received_at_source',
  'received_at_uncertainty_seconds',
  'station',
  'vouched',
  'phase',
  'recording',
  'burst',
  'line',
  'kind',
  'text',
  'start_seconds',
  'end_seconds',
  'complete',
  'checksum',
  'trust',
  'confidence',
  'fields',
  'characters',
  'decision',
];

export function frameWriter(db: Database): FrameWriter {
  const missionKey = db.prepare<[string], number>('select key from missions where id = ?').pluck();
  const insert = db.prepare<[FrameColumns & { added_at: number }]>(`
    insert into frames (added_at, ${WRITTEN.join(', ')}) values (@added_at, ${WRITTEN.map((name) => `@${name}`).join(', ')})`);
  const rewrite = db.prepare<[FrameColumns & { id: number }]>(
    `update frames set ${WRITTEN.map((name) => `${name} = @${name}`).join(', ')} where id = @id`,
  );
  const one = db.prepare<[number], FrameRow>(`select ${FRAME_COLUMNS} from frames f where id = ?`);
  const setReadingsVersion = db.prepare<[number, number]>('update frames set readings_version = ? where id = ?');
  const remove = db.prepare<[number]>('delete from frames where id = ?');
  const readings = readingWriter(db);

  function columnsOf(frame: NewFrame, source: FrameSource): FrameColumns {
    const mission = missionKey.get(frame.mission);
    if (mission === undefined) throw new Error(`frame of a mission that is not stored: ${frame.mission}`);
    const { decoded } = frame;
    return {
      mission,
      version: frame.version,
      readings_version: frame.readingsVersion,
      received_at: frame.receivedAt,
      received_at_source: frame.receivedAtSource,
      received_at_uncertainty_seconds: frame.receivedAtUncertaintySeconds,
      station: frame.station,
      vouched: Number(frame.vouched),
      phase: phaseCode(frame.phase),
      recording: source.kind === 'recording' ? source.recording : null,
      burst: source.kind === 'recording' ? source.burst : null,
      line: source.kind === 'line' ? source.line : null,
      kind: decoded.frame,
      text: decoded.text,
      start_seconds: decoded.startSeconds,
      end_seconds: decoded.endSeconds,
      complete: Number(decoded.complete),
      checksum: decoded.checksum,
      trust: trustCode(decoded.trust),
      confidence: decoded.confidence,
      fields: JSON.stringify(decoded.fields),
      characters: packFrameCharacters(decoded.characters),
      decision: JSON.stringify(decoded.decision),
    };
  }

  function writeReadings(id: number, mission: number, frame: NewFrame): void {
    if (frame.receivedAt === null) return;
    const { vouched, phase } = frame;
    readings.write({ frame: id, mission, time: frame.receivedAt, vouched, phase }, frame.readings);
  }

  function removeReadings(row: FrameRow): void {
    if (row.received_at !== null) readings.remove({ frame: row.id, mission: row.mission_key, time: row.received_at });
  }

  return {
    insert(frame, source, at) {
      const columns = columnsOf(frame, source);
      const id = Number(insert.run({ ...columns, added_at: at }).lastInsertRowid);
      writeReadings(id, columns.mission, frame);
      return id;
    },
    rewrite(id, frame, source) {
      const row = one.get(id);
      if (row === undefined) throw new Error(`frame ${id} is to be decided anew, but it is not stored`);
      const columns = columnsOf(frame, source);
      removeReadings(row);
      rewrite.run({ ...columns, id });
      writeReadings(id, columns.mission, frame);
    },
    reread({ id, readings: fresh, readingsVersion }) {
      const row = one.get(id);
      if (row === undefined) return;
      removeReadings(row);
      setReadingsVersion.run(readingsVersion, id);
      if (row.received_at === null) return;
      const { mission_key: mission, received_at: time } = row;
      readings.write({ frame: id, mission, time, vouched: row.vouched === 1, phase: phaseOf(row.phase) }, fresh);
    },
    remove(id) {
      const row = one.get(id);
      if (row === undefined) return;
      removeReadings(row);
      remove.run(id);
    },
  };
}

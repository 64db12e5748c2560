import type { Database } from 'better-sqlite3';
import type { ChecksumState } from '../../../decoders/frames/types.ts';
import { packFrameCharacters, unpackFrameCharacters } from '../pack/characters.ts';
import type { Claim, FrameSource, Instant, NewFrame, RereadFrame, StoredFrame } from '../records.ts';
import { phaseCode, phaseOf, trustCode, trustOf } from './codes.ts';
import { readingWriter } from './reading-rows.ts';

/** Columns of a frame, to be followed by `from frames f ...`. */
export const FRAME_COLUMNS = `f.id, f.mission as mission_key, (select id from missions where key = f.mission) as mission,
  f.version, f.readings_version, f.received_at, f.added_at, f.station, f.vouched, f.phase, f.recording, f.burst, f.line,
  f.kind, f.text, f.start_seconds, f.end_seconds, f.complete, f.checksum, f.trust, f.confidence, f.fields, f.characters,
  f.decision`;

export interface FrameRow {
  readonly id: number;
  readonly mission_key: number;
  readonly mission: string;
  readonly version: number;
  readonly readings_version: number;
  readonly received_at: number | null;
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
  /** Gives a stored frame another time and other readings. */
  reread(frame: RereadFrame): void;
  /** Who stands for the frames of a recording, and in which phase they are. */
  claim(recording: number, claim: Claim): void;
  removeReadingsOfRecording(recording: number): void;
}

export function frameWriter(db: Database): FrameWriter {
  const missionKey = db.prepare<[string], number>('select key from missions where id = ?').pluck();
  const insert = db.prepare<[Omit<FrameRow, 'id' | 'mission_key' | 'mission'> & { mission: number }]>(`
    insert into frames (mission, version, readings_version, received_at, added_at, station, vouched, phase, recording,
      burst, line, kind, text, start_seconds, end_seconds, complete, checksum, trust, confidence, fields, characters,
      decision)
    values (@mission, @version, @readings_version, @received_at, @added_at, @station, @vouched, @phase, @recording,
      @burst, @line, @kind, @text, @start_seconds, @end_seconds, @complete, @checksum, @trust, @confidence, @fields,
      @characters, @decision)`);
  const one = db.prepare<[number], FrameRow>(`select ${FRAME_COLUMNS} from frames f where id = ?`);
  const ofRecording = db.prepare<[number], FrameRow>(`select ${FRAME_COLUMNS} from frames f where recording = ?`);
  const setReread = db.prepare<[number | null, number, number]>(
    'update frames set received_at = ?, readings_version = ? where id = ?',
  );
  const setClaim = db.prepare<[string, number | null, number]>(
    'update frames set station = ?, vouched = 1, phase = coalesce(?, phase) where recording = ?',
  );
  const claimReadings = db.prepare<[number | null, number, number, number]>(`
    update readings set vouched = 1, phase = coalesce(?, phase)
    where parameter in (select key from parameters where mission = ?) and time = ? and frame = ?`);
  const readings = readingWriter(db);

  return {
    insert(frame, source, at) {
      const mission = missionKey.get(frame.mission);
      if (mission === undefined) throw new Error(`frame of a mission that is not stored: ${frame.mission}`);
      const { decoded } = frame;
      const id = Number(
        insert.run({
          mission,
          version: frame.version,
          readings_version: frame.version,
          received_at: frame.receivedAt,
          added_at: at,
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
        }).lastInsertRowid,
      );
      if (frame.receivedAt !== null) {
        const { vouched, phase } = frame;
        readings.write({ frame: id, mission, time: frame.receivedAt, vouched, phase }, frame.readings);
      }
      return id;
    },
    reread({ id, receivedAt, readings: fresh, readingsVersion }) {
      const row = one.get(id);
      if (row === undefined) return;
      const owner = { frame: id, mission: row.mission_key };
      if (row.received_at !== null) readings.remove({ ...owner, time: row.received_at });
      setReread.run(receivedAt, readingsVersion, id);
      if (receivedAt !== null) {
        readings.write({ ...owner, time: receivedAt, vouched: row.vouched === 1, phase: phaseOf(row.phase) }, fresh);
      }
    },
    claim(recording, { station, phase }) {
      const code = phase === null ? null : phaseCode(phase);
      setClaim.run(station, code, recording);
      for (const row of ofRecording.all(recording)) {
        if (row.received_at !== null) claimReadings.run(code, row.mission_key, row.received_at, row.id);
      }
    },
    removeReadingsOfRecording(recording) {
      for (const row of ofRecording.all(recording)) {
        if (row.received_at !== null)
          readings.remove({ frame: row.id, mission: row.mission_key, time: row.received_at });
      }
    },
  };
}

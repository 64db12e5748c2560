import type { Database } from 'better-sqlite3';
import type { Reading } from '../../../decoders/engineering/types.ts';
import type { Instant, Phase } from '../records.ts';
import { limitCode, phaseCode, trustCode } from './codes.ts';

/** The frame whose readings are written: `mission` is the database's key. */
export interface ReadingOwner {
  readonly frame: number;
  readonly mission: number;
  readonly time: Instant;
  readonly vouched: boolean;
  readonly phase: Phase;
}

/** Writes and removes the readings of a frame; part of the transaction that writes the frame. */
export interface ReadingWriter {
  write(owner: ReadingOwner, readings: readonly Reading[]): void;
  remove(owner: Pick<ReadingOwner, 'frame' | 'mission' | 'time'>): void;
}

export function readingWriter(db: Database): ReadingWriter {
  const addParameter = db.prepare<[number, string]>(
    'insert into parameters (mission, id) values (?, ?) on conflict (mission, id) do nothing',
  );
  const parameterKey = db
    .prepare<[number, string], number>('select key from parameters where mission = ? and id = ?')
    .pluck();
  const insert = db.prepare<[ReadingRow]>(`
    insert into readings (parameter, time, frame, value, text, trust, confidence, limit_state, vouched, phase, notes)
    values (@parameter, @time, @frame, @value, @text, @trust, @confidence, @limit, @vouched, @phase, @notes)`);
  const remove = db.prepare<[number, number, number]>(`
    delete from readings
    where parameter in (select key from parameters where mission = ?) and time = ? and frame = ?`);

  function keyOf(mission: number, parameter: string): number {
    const known = parameterKey.get(mission, parameter);
    if (known !== undefined) return known;
    return Number(addParameter.run(mission, parameter).lastInsertRowid);
  }

  return {
    write(owner, readings) {
      for (const reading of readings) {
        insert.run({
          parameter: keyOf(owner.mission, reading.parameter),
          time: owner.time,
          frame: owner.frame,
          value: typeof reading.value === 'number' ? reading.value : null,
          text: typeof reading.value === 'string' ? reading.value : null,
          trust: trustCode(reading.trust),
          confidence: reading.confidence,
          limit: limitCode(reading.limit),
          vouched: Number(owner.vouched),
          phase: phaseCode(owner.phase),
          notes: reading.notes.length === 0 ? null : JSON.stringify(reading.notes),
        });
      }
    },
    remove(owner) {
      remove.run(owner.mission, owner.time, owner.frame);
    },
  };
}

interface ReadingRow {
  readonly parameter: number;
  readonly time: number;
  readonly frame: number;
  readonly value: number | null;
  readonly text: string | null;
  readonly trust: number;
  readonly confidence: number;
  readonly limit: number | null;
  readonly vouched: number;
  readonly phase: number;
  readonly notes: string | null;
}

import type { Database } from 'better-sqlite3';
import { packAlone, unpackAlone } from '../pack/alone.ts';
import type { CopyUse, StoredCopy } from '../records.ts';

/** Columns of a copy, to be followed by `from copies`. */
export const COPY_COLUMNS = 'recording, burst, use, slots, alone';

export interface CopyRow {
  readonly recording: number;
  readonly burst: number;
  readonly use: CopyUse;
  readonly slots: string;
  readonly alone: string | null;
}

export function copyOf({ recording, burst, use, slots, alone }: CopyRow): StoredCopy {
  return { recording, burst, use, slots: JSON.parse(slots), alone: alone === null ? null : unpackAlone(alone) };
}

/** Writes the copies of a frame in place of those it had; part of the transaction that writes the frame. */
export function copyWriter(db: Database): (frame: number, copies: readonly StoredCopy[]) => void {
  const clear = db.prepare<[number]>('delete from copies where frame = ?');
  const insert = db.prepare<[CopyRow & { frame: number; position: number }]>(`
    insert into copies (frame, position, ${COPY_COLUMNS})
    values (@frame, @position, @recording, @burst, @use, @slots, @alone)`);
  return (frame, copies) => {
    clear.run(frame);
    for (const [position, { recording, burst, use, slots, alone }] of copies.entries()) {
      const packed = alone === null ? null : packAlone(alone);
      insert.run({ frame, position, recording, burst, use, slots: JSON.stringify(slots), alone: packed });
    }
  };
}

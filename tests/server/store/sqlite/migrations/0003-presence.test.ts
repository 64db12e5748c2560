import Database from 'better-sqlite3';
import { expect, test } from 'vitest';
import { migrate } from '../../../../../server/store/sqlite/migrate.ts';
import { first } from '../../../../../server/store/sqlite/migrations/0001-first.ts';
import { copies } from '../../../../../server/store/sqlite/migrations/0002-copies.ts';
import {
  RECORDING_COLUMNS,
  type RecordingRow,
  recordingOf,
} from '../../../../../server/store/sqlite/recording-rows.ts';

test('a recording stored before says of no beacon that it is present', () => {
  const db = new Database(':memory:');
  migrate(db, [first, copies]);
  db.exec(`
    insert into recordings (id, sha256, station, vouched, phase, uploaded_at, bytes, sender_key_hash, status)
      values (7, 'x', 'Q1LARK', 1, 0, 0, 1, x'01', 'decoded');`);
  migrate(db);
  const rows = db.prepare<[], RecordingRow>(`select ${RECORDING_COLUMNS} from recordings r`).all();
  expect(rows.map(recordingOf)).toMatchObject([{ id: 7, status: 'decoded', presence: [] }]);
});

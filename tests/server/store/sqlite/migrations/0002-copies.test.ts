import Database from 'better-sqlite3';
import { expect, test } from 'vitest';
import { packFrameCharacters } from '../../../../../server/store/pack/characters.ts';
import { COPY_COLUMNS, type CopyRow, copyOf } from '../../../../../server/store/sqlite/copy-rows.ts';
import { migrate } from '../../../../../server/store/sqlite/migrate.ts';
import { first } from '../../../../../server/store/sqlite/migrations/0001-first.ts';
import { decodedFrame } from '../../../support/records.ts';

test('a frame stored before is its own only copy; a line has none', () => {
  const db = new Database(':memory:');
  migrate(db, [first]);
  const decoded = decodedFrame();
  db.exec(`
    insert into missions values (1, 'wren-1', 'Wren-1', 'Q0WREN', 0, 0, 3);
    insert into recordings (id, sha256, station, vouched, phase, uploaded_at, bytes, sender_key_hash, status)
      values (7, 'x', 'Q1LARK', 1, 0, 0, 1, x'01', 'decoded');
    insert into bursts values (7, 2, 0, 1, 45.45, 1275, 1445, 0, 1.5, 0, 9, '', null, '{}', x'');
    insert into lines values (1, x'01', 'q0wren', '[]', 0);`);
  const frame = db.prepare(`
    insert into frames (mission, version, readings_version, added_at, station, vouched, phase, recording, burst, line, kind,
      text, start_seconds, end_seconds, complete, checksum, trust, confidence, fields, characters, decision)
    values (1, 3, 3, 0, 'Q1LARK', 1, 0, ?, ?, ?, ?, ?, 2, 4, 1, 'pass', 2, ?, ?, ?, ?)`);
  for (const source of [
    [7, 2, null],
    [null, null, 1],
  ]) {
    frame.run(
      ...source,
      decoded.frame,
      decoded.text,
      decoded.confidence,
      JSON.stringify(decoded.fields),
      packFrameCharacters(decoded.characters),
      JSON.stringify(decoded.decision),
    );
  }
  migrate(db);
  const rows = db.prepare<[], CopyRow & { frame: number }>(`select frame, ${COPY_COLUMNS} from copies`).all();
  expect(rows.map((row) => row.frame)).toEqual([1]);
  expect(copyOf(rows[0])).toEqual({
    recording: 7,
    burst: 2,
    use: 'added',
    slots: decoded.characters.map(({ slot }) => slot),
    alone: { mission: 'wren-1', version: 3, decoded },
  });
});

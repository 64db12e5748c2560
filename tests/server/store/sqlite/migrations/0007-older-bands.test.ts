import Database from 'better-sqlite3';
import { expect, test } from 'vitest';
import { migrate } from '../../../../../server/store/sqlite/migrate.ts';
import { migrations } from '../../../../../server/store/sqlite/migrations/index.ts';
import {
  RECORDING_COLUMNS,
  type RecordingRow,
  recordingOf,
} from '../../../../../server/store/sqlite/recording-rows.ts';

test('of complex samples decoded before bands were kept no part is sound', () => {
  const db = new Database(':memory:');
  migrate(db, migrations.slice(0, 6));
  const facts = { sampleRateHz: 48_000, channels: 2, channel: 1, seconds: 9, simulated: false };
  const iq = { captures: [{ startSeconds: 0, centerHz: 145.9e6, startedAt: null }] };
  const stored = [
    { ...facts, encoding: 'sigmf ci16_le' },
    { ...facts, encoding: 'sigmf cf32_le', channel: null, iq },
    { ...facts, encoding: 'sigmf ri16_le' },
    { ...facts, encoding: 'wav pcm 16' },
    null,
  ];
  const insert = db.prepare(`
    insert into recordings (sha256, station, vouched, phase, uploaded_at, bytes, sender_key_hash, status, audio)
      values (?, 'Q1LARK', 1, 0, 0, 1, ?, 'decoded', ?)`);
  for (const [i, audio] of stored.entries()) {
    insert.run(`${i}`, Buffer.of(i), audio === null ? null : JSON.stringify(audio));
  }
  migrate(db);
  const rows = db.prepare<[], RecordingRow>(`select ${RECORDING_COLUMNS} from recordings r order by id`).all();
  const unknown = { captures: [{ startSeconds: 0, centerHz: null, startedAt: null }] };
  expect(rows.map((row) => recordingOf(row).audio)).toEqual([
    { ...stored[0], channel: null, iq: unknown },
    ...stored.slice(1),
  ]);
});

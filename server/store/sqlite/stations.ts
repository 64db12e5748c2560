import type { Database } from 'better-sqlite3';
import type { StationOverview, StoredStation } from '../records.ts';
import type { StationStore } from '../store.ts';

interface StationRow {
  readonly call_sign: string;
  readonly added_at: number;
  readonly revoked_at: number | null;
  readonly key_hash: Uint8Array;
}

export function sqliteStations(db: Database): StationStore {
  // Each frame once, whether a station sent lines of it, or heard it in recordings.
  const heardBy = `select id from frames where line is not null and station = call_sign
    union select c.frame from recordings r join copies c on c.recording = r.id where r.station = call_sign`;
  const all = db.prepare<
    [],
    Omit<StationRow, 'key_hash'> & { last_heard: number | null; frames: number; recordings: number }
  >(`
    select call_sign, added_at, revoked_at,
      (select max(received_at) from frames where trust > 0 and id in (${heardBy})) as last_heard,
      (select count(*) from (${heardBy})) as frames,
      (select count(*) from recordings where station = call_sign) as recordings
    from stations order by call_sign`);
  const add = db.prepare<[string, number, Uint8Array]>(`
    insert into stations (call_sign, added_at, key_hash) values (?, ?, ?)
    on conflict (call_sign) do update set added_at = excluded.added_at, key_hash = excluded.key_hash, revoked_at = null`);
  const revoke = db.prepare<[number, string]>(
    'update stations set revoked_at = ? where call_sign = ? and revoked_at is null',
  );
  const byKeyHash = db.prepare<[Uint8Array], StationRow>(
    'select call_sign, added_at, revoked_at, key_hash from stations where key_hash = ? and revoked_at is null',
  );
  return {
    async stations() {
      return all.all().map(
        (row): StationOverview => ({
          callSign: row.call_sign,
          addedAt: row.added_at,
          revokedAt: row.revoked_at,
          lastHeard: row.last_heard,
          frames: row.frames,
          recordings: row.recordings,
        }),
      );
    },
    async addStation(callSign, keyHash, at) {
      add.run(callSign, at, keyHash);
    },
    async revokeStation(callSign, at) {
      return revoke.run(at, callSign).changes > 0;
    },
    async stationByKeyHash(keyHash) {
      const row = byKeyHash.get(keyHash);
      return row === undefined ? null : stationOf(row);
    },
  };
}

function stationOf(row: StationRow): StoredStation {
  return { callSign: row.call_sign, addedAt: row.added_at, revokedAt: row.revoked_at, keyHash: row.key_hash };
}

import type { Database } from 'better-sqlite3';
import type { MissionChange, MissionOverview, MissionSaving, StoredMission } from '../records.ts';
import type { MissionStore } from '../store.ts';
import { eventWriter } from './events.ts';
import { jobWriter } from './job-rows.ts';

interface VersionRow {
  readonly id: string;
  readonly private: number;
  readonly invented: number;
  readonly version: number;
  readonly saved_at: number;
  readonly definition: string;
}

interface OverviewRow extends Omit<VersionRow, 'definition'> {
  readonly name: string;
  readonly call_sign: string;
  readonly frames: number;
  readonly last_heard: number | null;
}

export function sqliteMissions(db: Database): MissionStore {
  const all = db.prepare<[], OverviewRow>(`
    select id, name, call_sign, private, invented, m.version, saved_at,
      (select count(*) from frames where mission = m.key) as frames,
      (select received_at from frames
        where mission = m.key and received_at is not null and trust > 0 and phase = 0
        order by received_at desc limit 1) as last_heard
    from missions m join mission_versions v on v.mission = m.key and v.version = m.version
    order by id`);
  const hidden = db.prepare<[], string>('select id from missions where private = 1').pluck();
  const one = db.prepare<[{ id: string; version: number | null }], VersionRow>(`
    select id, private, invented, v.version, saved_at, definition
    from missions m join mission_versions v on v.mission = m.key and v.version = coalesce(@version, m.version)
    where id = @id`);
  const versions = db.prepare<[string], { version: number; savedAt: number }>(`
    select v.version, saved_at as savedAt from mission_versions v join missions m on m.key = v.mission
    where id = ? order by v.version desc`);
  const put = db.prepare<[MissionRow], { key: number }>(`
    insert into missions (id, name, call_sign, private, invented, version)
    values (@id, @name, @callSign, @private, @invented, @version)
    on conflict (id) do update set name = excluded.name, call_sign = excluded.call_sign, private = excluded.private,
      invented = excluded.invented, version = excluded.version
    returning key`);
  const addVersion = db.prepare<[number, number, number, string]>(
    'insert into mission_versions (mission, version, saved_at, definition) values (?, ?, ?, ?)',
  );
  const writeEvent = eventWriter(db);
  const writeJob = jobWriter(db);

  const save = db.transaction((change: MissionChange): MissionSaving => {
    const standing = one.get({ id: change.id, version: null });
    const standingVersion = standing?.version ?? 0;
    if (change.expected !== null && change.expected !== standingVersion) {
      return { outcome: 'conflict', version: standingVersion };
    }
    const definition = JSON.stringify(change.definition);
    if (standing?.definition === definition) return { outcome: 'unchanged', version: standingVersion };
    const version = standingVersion + 1;
    const saved = put.get({
      id: change.id,
      name: change.name,
      callSign: change.callSign,
      private: Number(change.private),
      invented: Number(change.invented),
      version,
    });
    if (saved === undefined) throw new Error(`mission ${change.id} was not stored`);
    addVersion.run(saved.key, version, change.savedAt, definition);
    if (version > 1) writeJob('recalculate', change.id, change.savedAt);
    writeEvent(change.savedAt, { type: 'mission', mission: change.id, version, change: 'saved' });
    return { outcome: 'saved', version };
  });

  return {
    async missions() {
      return all.all().map(
        (row): MissionOverview => ({
          id: row.id,
          name: row.name,
          callSign: row.call_sign,
          version: row.version,
          savedAt: row.saved_at,
          private: row.private === 1,
          invented: row.invented === 1,
          frames: row.frames,
          lastHeard: row.last_heard,
        }),
      );
    },
    async privateMissions() {
      return hidden.all();
    },
    async mission(id, version) {
      const row = one.get({ id, version: version ?? null });
      return row === undefined ? null : missionOf(row);
    },
    async missionVersions(id) {
      return versions.all(id);
    },
    async saveMission(change) {
      return save.immediate(change);
    },
  };
}

interface MissionRow {
  readonly id: string;
  readonly name: string;
  readonly callSign: string;
  readonly private: number;
  readonly invented: number;
  readonly version: number;
}

function missionOf(row: VersionRow): StoredMission {
  return {
    id: row.id,
    version: row.version,
    savedAt: row.saved_at,
    private: row.private === 1,
    invented: row.invented === 1,
    definition: JSON.parse(row.definition),
  };
}

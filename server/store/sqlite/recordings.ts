import type { Database } from 'better-sqlite3';
import type { StopElements } from '../../../decoders/mission/types.ts';
import { unpackPrinted } from '../pack/characters.ts';
import { unpackSoft } from '../pack/soft.ts';
import type {
  BandClaim,
  Claim,
  Dating,
  FrameChanges,
  Instant,
  NewRecording,
  StoredBurst,
  StoredRecording,
} from '../records.ts';
import type { RecordingStore } from '../store.ts';
import { phaseCode } from './codes.ts';
import { eventWriter } from './events.ts';
import { frameChanger } from './frame-changes.ts';
import { jobEnder, jobWriter } from './job-rows.ts';
import { RECORDING_COLUMNS, type RecordingRow, recordingOf } from './recording-rows.ts';

interface BurstRow {
  readonly idx: number;
  readonly start_seconds: number;
  readonly end_seconds: number;
  readonly baud: number;
  readonly mark_hz: number;
  readonly space_hz: number;
  readonly reversed: number;
  readonly stop_elements: StopElements;
  readonly drift_hz_per_second: number;
  readonly eb_n0_db: number;
  readonly text: string;
  readonly alternative_text: string | null;
  readonly characters: string;
  readonly soft: Uint8Array;
  readonly carrier: string | null;
}

/** Longer ones do not fit what an upload may hold. */
const LONGEST_RECORDING_MILLISECONDS = 7 * 86_400_000;

export function sqliteRecordings(db: Database): RecordingStore {
  const select = `select ${RECORDING_COLUMNS} from recordings r`;
  const byId = db.prepare<[number], RecordingRow>(`${select} where id = ?`);
  const bySha256 = db.prepare<[string], RecordingRow>(`${select} where sha256 = ?`);
  const bySenderKeyHash = db.prepare<[Uint8Array], RecordingRow>(`${select} where sender_key_hash = ?`);
  const list = db.prepare<
    [
      {
        limit: number;
        after: number | null;
        anyMission: number;
        mission: string | null;
        station: string | null;
        sha256: string | null;
        except: string;
      },
    ],
    RecordingRow
  >(`${select} left join missions m on m.key = r.mission
    where (@after is null or r.id < @after)
      and (@anyMission or m.id is @mission)
      and (@station is null or r.station = @station)
      and (@sha256 is null or r.sha256 = @sha256)
      and (m.id is null or m.id not in (select value from json_each(@except)))
    order by r.id desc limit @limit`);
  const insert = db.prepare<[Record<string, string | number | Uint8Array | null>]>(`
    insert into recordings (sha256, mission, station, vouched, phase, uploaded_at, started_at, started_at_source,
      time_accuracy_seconds, time_base, bytes, file_name, band_claim, sender_key_hash, cut_out, status)
    values (@sha256, (select key from missions where id = @mission), @station, @vouched, @phase, @uploadedAt, @startedAt,
      @startedAtSource, @timeAccuracySeconds, @timeBase, @bytes, @fileName, @bandClaim, @senderKeyHash, @cutOut, 'waiting')
    on conflict (sha256) do nothing`);
  // What was wrong with a time is said of the one before.
  const setDating = db.prepare<[Dating & { id: number }]>(`
    update recordings set started_at = @startedAt, started_at_source = @startedAtSource,
      time_accuracy_seconds = @timeAccuracySeconds, time_base = @timeBase,
      problems = (select json_group_array(json(value)) from json_each(problems)
        where json_extract(value, '$.code') not in ('time-impossible', 'times-disagree', 'time-zone-assumed'))
    where id = @id`);
  const setClaim = db.prepare<[string, number | null, number]>(
    'update recordings set station = ?, vouched = 1, phase = coalesce(?, phase) where id = ?',
  );
  const setBandClaim = db.prepare<[string | null, number]>('update recordings set band_claim = ? where id = ?');
  const removeBursts = db.prepare<[number]>('delete from bursts where recording = ?');
  const setWaiting = db.prepare<[number]>(`
    update recordings set status = 'waiting', failure = null, audio = null, problems = '[]', presence = '[]',
      decoder_version = null where id = ?`);
  const remove = db.prepare<[number]>('delete from recordings where id = ?');
  const missionsHeard = db
    .prepare<[number], string>(
      `select distinct m.id from copies c join frames f on f.id = c.frame join missions m on m.key = f.mission
       where c.recording = ?`,
    )
    .pluck();
  const burstsOf = db.prepare<[number], BurstRow>('select * from bursts where recording = ? order by idx');
  const burstAt = db.prepare<[number, number], BurstRow>('select * from bursts where recording = ? and idx = ?');
  const onAir = db.prepare<[{ phase: number; from: number; to: number }], { recording: number; idx: number }>(`
    select recording, idx from recordings r join bursts b on b.recording = r.id
    where r.started_at between @from - ${LONGEST_RECORDING_MILLISECONDS} and @to and r.phase = @phase
      and r.started_at + 1000 * b.end_seconds >= @from and r.started_at + 1000 * b.start_seconds <= @to
    order by recording, idx`);
  const writeEvent = eventWriter(db);
  const writeJob = jobWriter(db);
  const endJob = jobEnder(db);
  const changeFrames = frameChanger(db);

  function announce(
    { id, mission, status: standing }: StoredRecording,
    at: Instant,
    {
      status = standing,
      missions = new Set<string>(),
    }: { status?: StoredRecording['status'] | 'deleted'; missions?: Set<string> } = {},
  ): void {
    const touched = [...new Set([...missionsHeard.all(id), ...missions])];
    writeEvent(at, { type: 'recording', recording: id, mission, status, missions: touched });
  }

  function need(row: RecordingRow | undefined): StoredRecording {
    if (row === undefined) throw new Error('the recording is not stored');
    return recordingOf(row);
  }

  const add = db.transaction((recording: NewRecording) => {
    const { changes } = insert.run({
      sha256: recording.sha256,
      mission: recording.mission,
      station: recording.station,
      vouched: Number(recording.vouched),
      phase: phaseCode(recording.phase),
      uploadedAt: recording.uploadedAt,
      startedAt: recording.startedAt,
      startedAtSource: recording.startedAtSource,
      timeAccuracySeconds: recording.timeAccuracySeconds,
      timeBase: recording.timeBase,
      bytes: recording.bytes,
      fileName: recording.fileName,
      bandClaim: bandClaimText(recording.bandClaim),
      senderKeyHash: recording.senderKeyHash,
      cutOut: recording.cutOut === null ? null : JSON.stringify(recording.cutOut),
    });
    const stored = need(bySha256.get(recording.sha256));
    if (changes > 0) {
      writeJob('decode', String(stored.id), recording.uploadedAt);
      announce(stored, recording.uploadedAt);
    }
    return { recording: stored, added: changes > 0 };
  });

  const redate = db.transaction((id: number, dating: Dating, changes: FrameChanges, at: Instant) => {
    const { startedAt, startedAtSource, timeAccuracySeconds, timeBase } = dating;
    setDating.run({ startedAt, startedAtSource, timeAccuracySeconds, timeBase, id });
    const missions = changeFrames(changes, at);
    announce(need(byId.get(id)), at, { missions });
  });

  const claim = db.transaction((id: number, said: Claim, changes: FrameChanges, at: Instant) => {
    setClaim.run(said.station, said.phase === null ? null : phaseCode(said.phase), id);
    const missions = changeFrames(changes, at);
    announce(need(byId.get(id)), at, { missions });
  });

  const claimBand = db.transaction((id: number, said: BandClaim, at: Instant) => {
    setBandClaim.run(bandClaimText(said), id);
    announce(need(byId.get(id)), at);
  });

  const decodeAgain = db.transaction((id: number, said: BandClaim, changes: FrameChanges, at: Instant) => {
    setBandClaim.run(bandClaimText(said), id);
    const missions = changeFrames(changes, at);
    removeBursts.run(id);
    setWaiting.run(id);
    writeJob('decode', String(id), at);
    announce(need(byId.get(id)), at, { missions });
  });

  const erase = db.transaction((id: number, changes: FrameChanges, at: Instant) => {
    const row = byId.get(id);
    if (row === undefined) return;
    const missions = changeFrames(changes, at);
    announce(recordingOf(row), at, { status: 'deleted', missions });
    remove.run(id);
    endJob('decode', String(id));
  });

  return {
    async addRecording(recording) {
      return add.immediate(recording);
    },
    async recording(id) {
      const row = byId.get(id);
      return row === undefined ? null : recordingOf(row);
    },
    async recordingBySha256(sha256) {
      const row = bySha256.get(sha256);
      return row === undefined ? null : recordingOf(row);
    },
    async recordingBySenderKeyHash(keyHash) {
      const row = bySenderKeyHash.get(keyHash);
      return row === undefined ? null : recordingOf(row);
    },
    async recordings({ limit, after, mission, station, sha256, exceptMissions }) {
      const rows = list.all({
        limit,
        after,
        anyMission: Number(mission === undefined),
        mission: mission ?? null,
        station,
        sha256,
        except: JSON.stringify(exceptMissions),
      });
      return rows.map(recordingOf);
    },
    async claimRecording(id, said, changes, at) {
      claim.immediate(id, said, changes, at);
    },
    async redateRecording(id, dating, changes, at) {
      redate.immediate(id, dating, changes, at);
    },
    async claimBand(id, said, at) {
      claimBand.immediate(id, said, at);
    },
    async decodeAgain(id, said, changes, at) {
      decodeAgain.immediate(id, said, changes, at);
    },
    async deleteRecording(id, changes, at) {
      erase.immediate(id, changes, at);
    },
    async bursts(recording) {
      return burstsOf.all(recording).map(burstOf);
    },
    async burst(recording, index) {
      const row = burstAt.get(recording, index);
      return row === undefined ? null : burstOf(row);
    },
    async burstsOnAir(phase, from, to) {
      return onAir
        .all({ phase: phaseCode(phase), from, to })
        .map(({ recording, idx: index }) => ({ recording, index }));
    },
  };
}

function bandClaimText(claim: BandClaim | null): string | null {
  return claim === null ? null : JSON.stringify(claim);
}

function burstOf(row: BurstRow): StoredBurst {
  return {
    index: row.idx,
    burst: {
      startSeconds: row.start_seconds,
      endSeconds: row.end_seconds,
      baud: row.baud,
      markHz: row.mark_hz,
      spaceHz: row.space_hz,
      reversed: row.reversed === 1,
      stopElements: row.stop_elements,
      driftHzPerSecond: row.drift_hz_per_second,
      ebN0Db: row.eb_n0_db,
      soft: unpackSoft(row.soft),
      text: row.text,
      alternativeText: row.alternative_text,
      characters: unpackPrinted(row.characters),
      ...(row.carrier === null ? {} : { carrier: JSON.parse(row.carrier) }),
    },
  };
}

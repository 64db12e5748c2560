import type { Database } from 'better-sqlite3';
import { packPrinted } from '../pack/characters.ts';
import { packSoft } from '../pack/soft.ts';
import type { DecodingResult, Failure, Instant, Job, JobKind } from '../records.ts';
import type { JobStore } from '../store.ts';
import { eventWriter } from './events.ts';
import { frameChanger } from './frame-changes.ts';
import { jobEnder } from './job-rows.ts';
import { RECORDING_COLUMNS, type RecordingRow } from './recording-rows.ts';

interface JobRow {
  readonly id: number;
  readonly kind: JobKind;
  readonly subject: string;
  readonly attempts: number;
}

export function sqliteJobs(db: Database): JobStore {
  const take = db.prepare<[{ worker: string; now: number; until: number }], JobRow>(`
    update jobs set state = 'running', attempts = attempts + 1, worker = @worker, lease_until = @until
    where id = (select id from jobs where state = 'ready' or (state = 'running' and lease_until < @now) order by id limit 1)
    returning id, kind, subject, attempts`);
  const keep = db.prepare<[number, number, string]>(
    `update jobs set lease_until = ? where id = ? and worker = ? and state = 'running'`,
  );
  const release = db.prepare<[number]>(
    `update jobs set state = 'ready', attempts = attempts - 1, worker = null, lease_until = null where id = ?`,
  );
  const releaseAll = db.prepare(
    `update jobs set state = 'ready', worker = null, lease_until = null where state = 'running'`,
  );
  const counts = db.prepare<[], { waiting: number; running: number }>(`
    select count(*) filter (where state = 'ready') as waiting, count(*) filter (where state = 'running') as running
    from jobs`);
  const recordingRow = db.prepare<[number], RecordingRow>(`select ${RECORDING_COLUMNS} from recordings r where id = ?`);
  const setDecoding = db.prepare<[number]>(`update recordings set status = 'decoding' where id = ?`);
  const setDecoded = db.prepare<[Record<string, string | number | null>]>(`
    update recordings set status = 'decoded', failure = null, audio = @audio, problems = @problems, presence = @presence,
      decoder_version = @decoderVersion, started_at = @startedAt, started_at_source = @startedAtSource,
      time_accuracy_seconds = @timeAccuracySeconds, time_base = @timeBase,
      cut_out = json_set(cut_out, '$.readAgain', json(@readAgain))
    where id = @recording`);
  const setFailed = db.prepare<[string, number]>(`update recordings set status = 'failed', failure = ? where id = ?`);
  const addBurst = db.prepare<[Record<string, string | number | Uint8Array | null>]>(`
    insert into bursts (recording, idx, start_seconds, end_seconds, baud, mark_hz, space_hz, reversed, stop_elements,
      drift_hz_per_second, eb_n0_db, text, alternative_text, characters, soft, carrier)
    values (@recording, @index, @startSeconds, @endSeconds, @baud, @markHz, @spaceHz, @reversed, @stopElements,
      @driftHzPerSecond, @ebN0Db, @text, @alternativeText, @characters, @soft, @carrier)`);
  const missionVersion = db.prepare<[string], number>('select version from missions where id = ?').pluck();
  const left = db
    .prepare<[string, number], number>(`
      select count(*) from frames
      where mission = (select key from missions where id = ?) and readings_version <> ?`)
    .pluck();
  const writeEvent = eventWriter(db);
  const endJob = jobEnder(db);
  const changeFrames = frameChanger(db);

  const takeOne = db.transaction((worker: string, now: Instant, leaseMilliseconds: number): Job | null => {
    const row = take.get({ worker, now, until: now + leaseMilliseconds });
    if (row === undefined) return null;
    if (row.kind === 'decode') {
      const recording = Number(row.subject);
      const before = recordingRow.get(recording);
      setDecoding.run(recording);
      if (before !== undefined && before.status !== 'decoding') {
        const { mission } = before;
        writeEvent(now, { type: 'recording', recording, mission, status: 'decoding', missions: [] });
      }
    }
    return row;
  });

  const finish = db.transaction((result: DecodingResult): boolean => {
    const { recording, finishedAt } = result;
    const before = recordingRow.get(recording);
    endJob('decode', String(recording));
    if (before === undefined || before.status === 'decoded') return false;
    setDecoded.run({
      recording,
      audio: JSON.stringify(result.audio),
      problems: JSON.stringify(result.problems),
      presence: JSON.stringify(result.presence),
      decoderVersion: result.decoderVersion,
      startedAt: result.dating.startedAt,
      startedAtSource: result.dating.startedAtSource,
      timeAccuracySeconds: result.dating.timeAccuracySeconds,
      timeBase: result.dating.timeBase,
      readAgain: JSON.stringify(result.readAgain),
    });
    for (const [index, burst] of result.bursts.entries()) {
      addBurst.run({
        recording,
        index,
        startSeconds: burst.startSeconds,
        endSeconds: burst.endSeconds,
        baud: burst.baud,
        markHz: burst.markHz,
        spaceHz: burst.spaceHz,
        reversed: Number(burst.reversed),
        stopElements: burst.stopElements,
        driftHzPerSecond: burst.driftHzPerSecond,
        ebN0Db: burst.ebN0Db,
        text: burst.text,
        alternativeText: burst.alternativeText,
        characters: packPrinted(burst.characters),
        soft: packSoft(burst.soft),
        carrier: burst.carrier === undefined ? null : JSON.stringify(burst.carrier),
      });
    }
    const missions = changeFrames(result.changes, finishedAt);
    const { mission } = before;
    writeEvent(finishedAt, { type: 'recording', recording, mission, status: 'decoded', missions: [...missions] });
    return true;
  });

  const fail = db.transaction((recording: number, failure: Failure, at: Instant) => {
    const before = recordingRow.get(recording);
    endJob('decode', String(recording));
    if (before === undefined || before.status === 'decoded') return;
    setFailed.run(JSON.stringify(failure), recording);
    writeEvent(at, { type: 'recording', recording, mission: before.mission, status: 'failed', missions: [] });
  });

  const finishRecalculation = db.transaction((mission: string, at: Instant): boolean => {
    const version = missionVersion.get(mission);
    if (version === undefined || Number(left.get(mission, version)) > 0) return false;
    endJob('recalculate', mission);
    writeEvent(at, { type: 'mission', mission, version, change: 'recalculated' });
    return true;
  });

  return {
    async takeJob(worker, now, leaseMilliseconds) {
      return takeOne.immediate(worker, now, leaseMilliseconds);
    },
    async keepJob(id, worker, leaseUntil) {
      return keep.run(leaseUntil, id, worker).changes > 0;
    },
    async releaseJob(id) {
      release.run(id);
    },
    async releaseAllJobs() {
      releaseAll.run();
    },
    async finishDecoding(result) {
      return finish.immediate(result);
    },
    async failDecoding(recording, failure, at) {
      fail.immediate(recording, failure, at);
    },
    async finishRecalculation(mission, at) {
      return finishRecalculation.immediate(mission, at);
    },
    async dropRecalculation(mission) {
      endJob('recalculate', mission);
    },
    async jobCounts() {
      return counts.get() ?? { waiting: 0, running: 0 };
    },
  };
}

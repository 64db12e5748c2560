import type { Database } from 'better-sqlite3';
import type { FrameQuery, NewFrame, NewLine, RereadFrame, StoredFrame } from '../records.ts';
import type { FrameStore } from '../store.ts';
import { phaseCode, trustCode } from './codes.ts';
import { COPY_COLUMNS, type CopyRow, copyOf } from './copy-rows.ts';
import { eventWriter } from './events.ts';
import { FRAME_COLUMNS, type FrameRow, frameOf, frameWriter } from './frame-rows.ts';

export function sqliteFrames(db: Database): FrameStore {
  const select = `select ${FRAME_COLUMNS} from frames f`;
  const ofMission = 'mission = (select key from missions where id = @mission)';
  const byId = db.prepare<[number], FrameRow>(`${select} where id = ?`);
  const ofLine = db.prepare<[number], FrameRow>(`${select} where line = ? order by id`);
  const ofRecording = db.prepare<[number], FrameRow>(
    `${select} where id in (select frame from copies where recording = ?) order by id`,
  );
  const heard = db.prepare<[{ phase: number; from: number; to: number }], FrameRow>(`${select}
    where mission in (select key from missions) and received_at between @from and @to and phase = @phase
      and recording is not null
    order by received_at, id`);
  const copiesOf = db.prepare<[number], CopyRow>(
    `select ${COPY_COLUMNS} from copies where frame = ? order by position`,
  );
  const lineByHash = db.prepare<[Uint8Array], number>('select id from lines where hash = ?').pluck();
  const insertLine = db.prepare<[Uint8Array, string, string, number]>(
    'insert into lines (hash, text, assumptions, added_at) values (?, ?, ?, ?)',
  );
  const lineById = db.prepare<[number], { text: string; assumptions: string }>(
    'select text, assumptions from lines where id = ?',
  );
  // SQLite sorts nulls last when descending, and compares a null with nothing: undated frames get a page of their own.
  const list = db.prepare<[FrameParameters], FrameRow>(`${select}
    where ${ofMission}
      and trust >= @leastTrust
      and (@phase is null or phase = @phase)
      and (@station is null or station = @station or id in (
        select c.frame from copies c join recordings r on r.id = c.recording where r.station = @station))
      and (@from is null or received_at >= @from)
      and (@to is null or received_at <= @to)
      and (@afterId is null
        or (@afterTime is not null and (received_at is null or (received_at, id) < (@afterTime, @afterId)))
        or (@afterTime is null and received_at is null and id < @afterId))
    order by received_at desc, id desc limit @limit`);
  const stale = db.prepare<[{ mission: string; version: number; limit: number }], FrameRow>(
    `${select} where ${ofMission} and readings_version <> @version order by received_at, id limit @limit`,
  );
  const last = db.prepare<[{ mission: string; phase: number }], FrameRow>(`${select}
    where ${ofMission} and received_at is not null and trust > 0 and phase = @phase
    order by received_at desc, id desc limit 1`);
  const undated = db
    .prepare<[{ mission: string; phase: number }], number>(
      `select count(*) from frames where ${ofMission} and received_at is null and trust > 0 and phase = @phase`,
    )
    .pluck();
  const counts = db.prepare<[], { doubtful: number; probable: number; confirmed: number }>(`
    select count(*) filter (where trust = 0) as doubtful, count(*) filter (where trust = 1) as probable,
      count(*) filter (where trust = 2) as confirmed
    from frames`);
  const writeEvent = eventWriter(db);
  const writer = frameWriter(db);

  const addLine = db.transaction((line: NewLine, frames: readonly NewFrame[]) => {
    const known = lineByHash.get(line.hash);
    if (known !== undefined) return { frames: ofLine.all(known).map(frameOf), added: false };
    const { lastInsertRowid } = insertLine.run(line.hash, line.text, JSON.stringify(line.assumptions), line.addedAt);
    const id = Number(lastInsertRowid);
    for (const frame of frames) {
      const stored = writer.insert(frame, { kind: 'line', line: id }, line.addedAt);
      writeEvent(line.addedAt, { type: 'frame', mission: frame.mission, frame: stored });
    }
    return { frames: ofLine.all(id).map(frameOf), added: true };
  });

  const reread = db.transaction((frames: readonly RereadFrame[]) => {
    for (const frame of frames) writer.reread(frame);
  });

  return {
    async addLine(line, frames) {
      return addLine.immediate(line, frames);
    },
    async line(id) {
      const row = lineById.get(id);
      return row === undefined ? null : { text: row.text, assumptions: JSON.parse(row.assumptions) };
    },
    async frame(id) {
      return one(byId.get(id));
    },
    async frames(query) {
      return list.all(parametersOf(query)).map(frameOf);
    },
    async framesOfRecording(recording) {
      return ofRecording.all(recording).map(frameOf);
    },
    async framesHeard(phase, from, to) {
      return heard.all({ phase: phaseCode(phase), from, to }).map(frameOf);
    },
    async copiesOfFrame(frame) {
      return copiesOf.all(frame).map(copyOf);
    },
    async framesToRecalculate(mission, version, limit) {
      return stale.all({ mission, version, limit }).map(frameOf);
    },
    async rereadFrames(frames) {
      reread.immediate(frames);
    },
    async lastFrame(mission, phase) {
      return one(last.get({ mission, phase: phaseCode(phase) }));
    },
    async framesWithoutTime(mission, phase) {
      return undated.get({ mission, phase: phaseCode(phase) }) ?? 0;
    },
    async frameCounts() {
      return counts.get() ?? { doubtful: 0, probable: 0, confirmed: 0 };
    },
  };
}

interface FrameParameters {
  readonly mission: string;
  readonly from: number | null;
  readonly to: number | null;
  readonly station: string | null;
  readonly leastTrust: number;
  readonly phase: number | null;
  readonly limit: number;
  readonly afterTime: number | null;
  readonly afterId: number | null;
}

function parametersOf(query: FrameQuery): FrameParameters {
  return {
    mission: query.mission,
    from: query.from,
    to: query.to,
    station: query.station,
    leastTrust: trustCode(query.leastTrust),
    phase: query.phase === null ? null : phaseCode(query.phase),
    limit: query.limit,
    afterTime: query.after?.receivedAt ?? null,
    afterId: query.after?.id ?? null,
  };
}

function one(row: FrameRow | undefined): StoredFrame | null {
  return row === undefined ? null : frameOf(row);
}

import type { Database } from 'better-sqlite3';
import type { Series, SeriesQuery, StoredReading } from '../records.ts';
import type { ReadingStore } from '../store.ts';
import { limitOf, phaseCode, trustCode, trustOf } from './codes.ts';

const COLUMNS = 'time, frame, value, text, trust, confidence, limit_state, vouched';
const PARAMETER =
  '(select key from parameters where mission = (select key from missions where id = @mission) and id = @parameter)';

interface ReadingRow {
  readonly time: number;
  readonly frame: number;
  readonly value: number | null;
  readonly text: string | null;
  readonly trust: number;
  readonly confidence: number;
  readonly limit_state: number | null;
  readonly vouched: number;
}

interface RangeParameters {
  readonly mission: string;
  readonly parameter: string;
  readonly from: number | null;
  readonly to: number | null;
  readonly leastTrust: number;
  readonly phase: number;
  readonly vouched: number;
}

interface BucketParameters extends RangeParameters {
  readonly origin: number;
  readonly width: number;
}

export function sqliteReadings(db: Database): ReadingStore {
  const inRange = `from readings
    where parameter = ${PARAMETER}
      and time >= coalesce(@from, -9223372036854775808) and time <= coalesce(@to, 9223372036854775807)
      and trust >= @leastTrust and phase = @phase and vouched >= @vouched`;
  const extent = db.prepare<
    [RangeParameters],
    { total: number; numbers: number; first: number | null; last: number | null }
  >(`select count(*) as total, count(value) as numbers, min(time) as first, max(time) as last ${inRange}`);
  const whole = db.prepare<[RangeParameters], ReadingRow>(`select ${COLUMNS} ${inRange} order by time, frame`);
  // With a lone min() or max(), SQLite takes the other columns from the row that has it. The bucket is cast because the
  // driver binds every number as real.
  const bucket = 'cast((time - @origin) / @width as integer)';
  const extremes = db.prepare<[BucketParameters], ReadingRow>(`
    with chosen as (select ${COLUMNS} ${inRange} and value is not null)
    select ${COLUMNS} from (select *, min(value) from chosen group by ${bucket})
    union select ${COLUMNS} from (select *, max(value) from chosen group by ${bucket})
    union select ${COLUMNS} from (select *, min(time) from chosen)
    union select ${COLUMNS} from (select *, max(time) from chosen)
    order by time, frame`);
  const changes = db.prepare<[BucketParameters], ReadingRow>(`
    with chosen as (select ${COLUMNS}, lag(text) over (order by time, frame) as before ${inRange} and text is not null)
    select ${COLUMNS} from (select *, min(time) from chosen where text is not before group by ${bucket}, text)
    union select ${COLUMNS} from (select *, max(time) from chosen)
    order by time, frame`);
  const ofFrame = db.prepare<[{ frame: number }], ReadingRow & { parameter: string; notes: string | null }>(`
    select p.id as parameter, ${COLUMNS.replace('frame,', 'r.frame,').replace('text,', 'r.text,')}, notes
    from (select id, mission, received_at from frames where id = @frame) f
    join parameters p on p.mission = f.mission
    join readings r on r.parameter = p.key and r.time = f.received_at and r.frame = f.id
    order by p.key`);
  const last = db.prepare<[{ mission: string; phase: number }], ReadingRow & { parameter: string; station: string }>(`
    select p.id as parameter, r.time, r.frame, r.value, r.text, r.trust, r.confidence, r.limit_state, r.vouched, f.station
    from parameters p
    join readings r on r.parameter = p.key and (r.time, r.frame) =
      (select time, frame from readings where parameter = p.key and trust > 0 and phase = @phase
       order by time desc, frame desc limit 1)
    join frames f on f.id = r.frame
    where p.mission = (select key from missions where id = @mission)`);
  const recent = db.prepare<[{ mission: string; parameter: string; phase: number; limit: number }], ReadingRow>(`
    select ${COLUMNS} from readings
    where parameter = ${PARAMETER} and trust > 0 and vouched = 1 and phase = @phase
    order by time desc, frame desc limit @limit`);
  const between = db.prepare<
    [{ mission: string; parameter: string; phase: number; from: number; to: number }],
    ReadingRow
  >(`
    select ${COLUMNS} from readings
    where parameter = ${PARAMETER} and trust > 0 and phase = @phase and time >= @from and time <= @to
    order by time, frame`);

  function series(query: SeriesQuery): Series {
    const range: RangeParameters = {
      mission: query.mission,
      parameter: query.parameter,
      from: query.from,
      to: query.to,
      leastTrust: trustCode(query.leastTrust),
      phase: phaseCode(query.phase),
      vouched: Number(query.vouchedOnly),
    };
    const { total, numbers, first, last: end } = extent.get(range) ?? { total: 0, numbers: 0, first: null, last: null };
    if (total <= query.points || first === null || end === null) {
      return { readings: whole.all(range).map(readingOf), total, bucketMilliseconds: null };
    }
    // Each bucket keeps its least and its greatest.
    const width = Math.max(1, (end - first) / Math.max(1, Math.floor(query.points / 2) - 1));
    const rows = (numbers > 0 ? extremes : changes).all({ ...range, origin: first, width });
    return { readings: rows.map(readingOf), total, bucketMilliseconds: width };
  }

  return {
    async readingsOfFrame(frame) {
      return ofFrame.all({ frame }).map((row) => ({
        ...readingOf(row),
        parameter: row.parameter,
        notes: row.notes === null ? [] : JSON.parse(row.notes),
      }));
    },
    async series(query) {
      return series(query);
    },
    async lastReadings(mission, phase) {
      return last
        .all({ mission, phase: phaseCode(phase) })
        .map((row) => ({ ...readingOf(row), parameter: row.parameter, station: row.station }));
    },
    async recentReadings(mission, parameter, phase, limit) {
      return recent.all({ mission, parameter, phase: phaseCode(phase), limit }).map(readingOf);
    },
    async readingsBetween(mission, parameters, phase, from, to) {
      return parameters.flatMap((parameter) =>
        between
          .all({ mission, parameter, phase: phaseCode(phase), from, to })
          .map((row) => ({ ...readingOf(row), parameter })),
      );
    },
  };
}

function readingOf(row: ReadingRow): StoredReading {
  return {
    time: row.time,
    frame: row.frame,
    value: row.value ?? row.text,
    trust: trustOf(row.trust),
    confidence: row.confidence,
    limit: limitOf(row.limit_state),
    vouched: row.vouched === 1,
  };
}

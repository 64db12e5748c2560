import type { ReadingSeries } from '../../server/http/messages.ts';

/** One reading as a chart knows it. Texts and states stand at the number of their row. */
export interface ChartPoint {
  readonly atMs: number;
  readonly y: number;
  readonly value: number | string;
  readonly trust: 'confirmed' | 'probable' | 'doubtful';
  readonly confidence: number;
  readonly vouched: boolean;
  readonly limit: 'normal' | 'soft' | 'hard' | null;
  readonly frame: string;
}

export interface LinePoint {
  readonly x: number;
  /** Null where the line has a gap. */
  readonly y: number | null;
}

export interface ChartSeries {
  readonly parameter: string;
  readonly name: string;
  readonly unit: string | null;
  readonly decimals: number | undefined;
  readonly points: readonly ChartPoint[];
  /** The line through what may be joined, with a null wherever nothing was heard. */
  readonly line: readonly LinePoint[];
  /** The texts of the rows, lowest first, for states and texts; null for numbers. */
  readonly rows: readonly string[] | null;
  /** Readings in the range before thinning. */
  readonly total: number;
  readonly thinned: boolean;
}

/** Longest silence that a line may cross when readings come often; a pass is a few minutes, the next is an hour away. */
const LONGEST_JOINED_MS = 20 * 60_000;
const MISSED_BEACONS = 5;
const MISSED_BUCKETS = 2.5;

/** Makes the server's columns ready to be drawn. */
export function chartSeries(series: ReadingSeries): ChartSeries {
  const { columns } = series;
  const rows = rowsOf(columns.value);
  const points: ChartPoint[] = [];
  columns.value.forEach((value, i) => {
    const atMs = Date.parse(columns.time[i] ?? '');
    const trust = columns.trust[i];
    if (value === null || trust === undefined || Number.isNaN(atMs)) return;
    points.push({
      atMs,
      y: rows === null ? Number(value) : rows.indexOf(String(value)),
      value,
      trust,
      confidence: columns.confidence[i] ?? 0,
      vouched: columns.vouched[i] ?? false,
      limit: columns.limit[i] ?? null,
      frame: columns.frame[i] ?? '',
    });
  });
  return {
    parameter: series.parameter,
    name: series.name,
    unit: series.unit,
    decimals: series.decimals ?? undefined,
    points,
    line: rows === null ? lineThrough(points, series.bucketSeconds) : [],
    rows,
    total: series.total,
    thinned: series.bucketSeconds !== null,
  };
}

function rowsOf(values: readonly (number | string | null)[]): string[] | null {
  const present = values.filter((value) => value !== null);
  if (present.every((value) => typeof value === 'number')) return null;
  return [...new Set(present.map(String))].sort();
}

/**
 * The line of a series. Only what a known station stands for and what was read with trust is joined; over silence there
 * is a null, never a line.
 * @param bucketSeconds how coarsely the server thinned; null when it did not
 */
export function lineThrough(points: readonly ChartPoint[], bucketSeconds: number | null): LinePoint[] {
  const joined = points.filter(({ trust, vouched }) => vouched && trust !== 'doubtful');
  const gapMs = longestJoined(joined, bucketSeconds);
  const line: LinePoint[] = [];
  let before: ChartPoint | undefined;
  for (const point of joined) {
    if (before !== undefined && point.atMs - before.atMs > gapMs) {
      line.push({ x: (before.atMs + point.atMs) / 2, y: null });
    }
    line.push({ x: point.atMs, y: point.y });
    before = point;
  }
  return line;
}

function longestJoined(points: readonly ChartPoint[], bucketSeconds: number | null): number {
  const steps = points.slice(1).map(({ atMs }, i) => atMs - (points[i]?.atMs ?? atMs));
  steps.sort((a, b) => a - b);
  const usual = steps[Math.floor(steps.length / 2)] ?? 0;
  return Math.max(Math.min(MISSED_BEACONS * usual, LONGEST_JOINED_MS), MISSED_BUCKETS * (bucketSeconds ?? 0) * 1000);
}

/** The point nearest in time, by bisection; null when there is none. */
export function nearestPoint(points: readonly ChartPoint[], atMs: number): ChartPoint | null {
  let low = 0;
  let high = points.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((points[middle]?.atMs ?? 0) < atMs) low = middle + 1;
    else high = middle;
  }
  const after = points[low];
  const before = points[low - 1];
  if (after === undefined || before === undefined) return after ?? before ?? null;
  return after.atMs - atMs < atMs - before.atMs ? after : before;
}

/** The points within a stretch of time. */
export function pointsWithin(points: readonly ChartPoint[], fromMs: number, toMs: number): ChartPoint[] {
  return points.filter(({ atMs }) => atMs >= fromMs && atMs <= toMs);
}

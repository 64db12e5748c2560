import { clockSecondsText, clockText, dayText, monthText } from '../words/time.ts';

export interface TimeTick {
  readonly atMs: number;
  readonly label: string;
  /** The day or month that begins here; empty where the label says enough. */
  readonly under: string;
}

const SECOND = 1000;
const MINUTE = 60 * SECOND;
const HOUR = 60 * MINUTE;
const DAY = 24 * HOUR;

/** Distances that divide a minute, an hour or a day evenly, so that ticks fall where people expect them. */
const STEPS = [
  ...[1, 2, 5, 10, 15, 30].map((n) => n * SECOND),
  ...[1, 2, 5, 10, 15, 30].map((n) => n * MINUTE),
  ...[1, 2, 3, 6, 12].map((n) => n * HOUR),
  ...[1, 2, 5, 10].map((n) => n * DAY),
];
const MONTH_STEPS = [1, 2, 3, 6, 12, 24, 60, 120];
const MEAN_MONTH = 30.44 * DAY;

/**
 * Ticks of a UTC time axis.
 * @param most at most about so many
 */
export function timeTicks(fromMs: number, toMs: number, most: number): TimeTick[] {
  if (!(toMs > fromMs) || most < 1) return [];
  const wanted = (toMs - fromMs) / most;
  const step = STEPS.find((one) => one >= wanted);
  return step === undefined ? monthTicks(fromMs, toMs, wanted) : evenTicks(fromMs, toMs, step);
}

function evenTicks(fromMs: number, toMs: number, step: number): TimeTick[] {
  const ticks: TimeTick[] = [];
  let day = '';
  // steps of several days are counted from the epoch: they stay where they are while the axis is moved
  for (let at = Math.ceil(fromMs / step) * step; at <= toMs; at += step) {
    if (step >= DAY) {
      ticks.push({ atMs: at, label: dayText(at), under: '' });
      continue;
    }
    const label = step < MINUTE ? clockSecondsText(at) : clockText(at);
    const under = dayText(at) === day ? '' : dayText(at);
    day = dayText(at);
    ticks.push({ atMs: at, label, under });
  }
  return ticks;
}

function monthTicks(fromMs: number, toMs: number, wanted: number): TimeTick[] {
  const step = MONTH_STEPS.find((one) => one * MEAN_MONTH >= wanted) ?? 120;
  const start = new Date(fromMs);
  const ticks: TimeTick[] = [];
  let month = Math.ceil((start.getUTCFullYear() * 12 + start.getUTCMonth()) / step) * step;
  for (; ; month += step) {
    const at = Date.UTC(Math.floor(month / 12), month % 12);
    if (at > toMs) return ticks;
    if (at >= fromMs) ticks.push({ atMs: at, label: monthText(at), under: '' });
  }
}

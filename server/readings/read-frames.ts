import { readingsOf } from '../../decoders/engineering/readings.ts';
import type { Reading } from '../../decoders/engineering/types.ts';
import type { DecodedFrame } from '../../decoders/frames/types.ts';
import { isPractice } from '../../decoders/mission/practice.ts';
import type { Mission } from '../../decoders/mission/types.ts';
import type { Instant, Phase } from '../store/records.ts';
import type { ReadingStore } from '../store/store.ts';
import { isoTime, isoTimeOrNull } from '../time.ts';
import { earlierNeeds } from './earlier-needs.ts';

/** A frame whose readings are wanted; `id` when it is stored already. */
export interface FrameToRead {
  readonly id?: number;
  readonly decoded: DecodedFrame;
  readonly receivedAt: Instant | null;
}

interface Earlier {
  readonly time: Instant;
  readonly value: number;
}

/**
 * The readings of frames of one mission and phase, by the definition given: the one way from fields to what is stored.
 * Where a reading needs a parameter of an earlier frame, it is taken from the store or from the frames before it here. Frames
 * of practice give none: their figures are nobody's.
 *
 * @returns for each frame its readings, in the order of `frames`.
 */
export async function readFrames(
  store: ReadingStore,
  mission: Mission,
  phase: Phase,
  frames: readonly FrameToRead[],
): Promise<Reading[][]> {
  const pool = await earlierReadings(store, mission, phase, frames);
  const readings: Reading[][] = frames.map(() => []);
  const inTime = [...frames.entries()].sort(([, a], [, b]) => (a.receivedAt ?? 0) - (b.receivedAt ?? 0));
  for (const [index, { decoded, receivedAt }] of inTime) {
    if (isPractice(decoded.text)) continue;
    readings[index] = readingsOf(mission, decoded, {
      receivedAt: isoTimeOrNull(receivedAt),
      earlier: (parameter) => lastBefore(pool.get(parameter) ?? [], receivedAt),
    });
    if (receivedAt !== null) {
      for (const { parameter, value, trust } of readings[index]) {
        if (typeof value === 'number' && trust !== 'doubtful') insert(pool.get(parameter), { time: receivedAt, value });
      }
    }
  }
  return readings;
}

async function earlierReadings(
  store: ReadingStore,
  mission: Mission,
  phase: Phase,
  frames: readonly FrameToRead[],
): Promise<ReadonlyMap<string, Earlier[]>> {
  const needs = earlierNeeds(mission);
  const pool = new Map<string, Earlier[]>([...needs.keys()].map((parameter) => [parameter, []]));
  const times = frames.flatMap(({ receivedAt }) => receivedAt ?? []);
  if (needs.size === 0 || times.length === 0) return pool;
  const own = new Set(frames.map(({ id }) => id));
  const back = Math.max(...needs.values()) * 1000;
  const [first, last] = times.reduce(
    ([low, high], time) => [Math.min(low, time), Math.max(high, time)],
    [Infinity, -Infinity],
  );
  const stored = await store.readingsBetween(mission.id, [...needs.keys()], phase, first - back, last);
  for (const { parameter, time, value, frame } of stored) {
    if (typeof value === 'number' && !own.has(frame)) pool.get(parameter)?.push({ time, value });
  }
  return pool;
}

function lastBefore(pool: readonly Earlier[], at: Instant | null): { value: number; receivedAt: string } | null {
  if (at === null) return null;
  const found = pool.findLast(({ time }) => time <= at);
  return found === undefined ? null : { value: found.value, receivedAt: isoTime(found.time) };
}

/** Keeps the pool in the order of time. */
function insert(pool: Earlier[] | undefined, reading: Earlier): void {
  if (pool === undefined) return;
  const after = pool.findLastIndex(({ time }) => time <= reading.time);
  pool.splice(after + 1, 0, reading);
}

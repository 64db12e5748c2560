import { sureSeconds, uncertaintyAt } from '../../decoders/audio/time-gaps.ts';
import type { FrameCopy } from '../../decoders/frames/combine.ts';
import type { Burst } from '../../decoders/teletype/types.ts';
import { baseCallSign } from '../call-sign.ts';
import type { AloneReading, CopyUse, Dating, Instant, Phase, StoredRecording } from '../store/records.ts';

/** What must be known of a recording to tell whether it heard what another one heard. */
export type HeardRecording = Pick<
  StoredRecording,
  'id' | 'mission' | 'station' | 'vouched' | 'uploadedAt' | 'problems' | keyof Dating
>;

/** A stretch of a burst; in a burst that repeats a frame there are several. */
export interface HeardPart {
  readonly fromSlot: number;
  readonly toSlot: number;
  /** Null where nothing was read. */
  readonly alone: AloneReading | null;
  /** What it is to the recording's own decision. */
  readonly use: CopyUse;
  /** Slot under each character of that decision; -1 where there is none. */
  readonly slots: readonly number[];
}

/** What one recording holds of one transmission. */
export interface Hearing {
  readonly recording: HeardRecording;
  readonly phase: Phase;
  /** Index of the burst in its recording. */
  readonly index: number;
  readonly burst: Burst;
  readonly parts: readonly HeardPart[];
  /** What the recording alone gives; null for a stretch in which nothing was read. */
  readonly decision: AloneReading | null;
}

/** A stretch of time, both ends included. */
export interface Span {
  readonly from: Instant;
  readonly to: Instant;
}

/** When a hearing began; null when nobody said when it was recorded. */
export function hearingTime(hearing: Hearing): Instant | null {
  const { startedAt } = hearing.recording;
  return startedAt === null ? null : instantIn(startedAt, hearingSeconds(hearing));
}

/** How exactly the time of a hearing is known; null when nobody said it. */
export function hearingUncertaintySeconds(hearing: Hearing): number | null {
  const { startedAt, timeAccuracySeconds, timeBase, uploadedAt, problems } = hearing.recording;
  if (startedAt === null) return null;
  const sure = sureSeconds(timeBase, problems);
  const times = { startedAt, uncertaintySeconds: timeAccuracySeconds, sureSeconds: sure, existedAt: uploadedAt };
  return uncertaintyAt(times, hearingSeconds(hearing));
}

function hearingSeconds({ burst, parts, decision }: Hearing): number {
  return decision?.decoded.startSeconds ?? burst.soft.startSeconds[parts[0].fromSlot] ?? burst.startSeconds;
}

export function instantIn(startedAt: Instant, seconds: number): Instant {
  return startedAt + Math.round(seconds * 1000);
}

/** The parts of a hearing as `combine` takes them. */
export function frameCopies({ recording, burst, parts }: Pick<Hearing, 'recording' | 'burst' | 'parts'>): FrameCopy[] {
  return parts.map(({ fromSlot, toSlot, alone }) => ({
    soft: burst.soft,
    fromSlot,
    toSlot,
    ebN0Db: burst.ebN0Db,
    station: baseCallSign(recording.station),
    alone: alone && { mission: alone.mission, frame: alone.decoded },
  }));
}

/** The part in which a frame was read alone. */
export function partRead(alone: AloneReading): HeardPart {
  const slots = alone.decoded.characters.map(({ slot }) => slot);
  return { ...stretchOf(slots), alone, use: 'added', slots };
}

/** The stretch that slots take, -1 for none left out. */
export function stretchOf(slots: readonly number[]): Pick<HeardPart, 'fromSlot' | 'toSlot'> {
  const own = slots.filter((slot) => slot >= 0);
  if (own.length === 0) return { fromSlot: 0, toSlot: 0 };
  return { fromSlot: Math.min(...own), toSlot: Math.max(...own) + 1 };
}

import type { RecordingStart } from '../../decoders/audio/start-time.ts';
import type { TimeBase } from '../../decoders/audio/time-gaps.ts';
import type { AudioProblem, BandInfo } from '../../decoders/audio/types.ts';
import type { BeaconPresence, DecodeSummary, FrameWithReadings } from '../../decoders/decode.ts';
import type { LimitState } from '../../decoders/engineering/types.ts';
import type { ChecksumState, RawValue, Trust } from '../../decoders/frames/types.ts';
import type { StopElements } from '../../decoders/mission/types.ts';
import type { BurstCarrier } from '../../decoders/signal/types.ts';
import type { Burst } from '../../decoders/teletype/types.ts';

/** What `decode` and `read` say, one object a line in `ndjson`; the other formats print the same objects. */
export type OutputRecord = RecordingRecord | BurstRecord | FrameRecord | PresenceRecord | TextRecord;

export interface RecordingRecord {
  readonly type: 'recording';
  readonly file: string;
  readonly sha256: string;
  readonly encoding: string;
  readonly sampleRate: number;
  readonly channels: number;
  /** The channel that was decoded, from 0; null when there was only one. */
  readonly channel: number | null;
  readonly seconds: number;
  readonly startedAt: string | null;
  /** Who says so: `command line`, `file name`, or the part of the file that does. */
  readonly startedAtSource: string | null;
  /** Null when nobody says how exact it is. */
  readonly timeAccuracySeconds: number | null;
  /** Whether seconds of the recording are seconds of time; null when nothing says otherwise. */
  readonly timeBase: TimeBase | null;
  /** The file says that nobody ever sent this. */
  readonly simulated: boolean;
  readonly problems: readonly AudioProblem[];
  /** Given where the recording is a complex band. */
  readonly iq?: BandInfo;
}

export interface BurstRecord {
  readonly type: 'burst';
  readonly startSeconds: number;
  readonly endSeconds: number;
  readonly baud: number;
  readonly markHz: number;
  readonly spaceHz: number;
  readonly reversed: boolean;
  readonly stopElements: StopElements;
  readonly driftHzPerSecond: number;
  /** Null when no noise could be measured. */
  readonly ebN0Db: number | null;
  readonly text: string;
  /** Of bursts from a complex band: see `BurstCarrier`. */
  readonly modulation?: 'fsk' | 'fm';
  readonly carrierHz?: number;
  readonly carrierAbsoluteHz?: number | null;
  readonly carrierSeconds?: number;
  readonly carrierDriftHzPerSecond?: number;
  readonly carrierUncertaintyHz?: number;
  /** Times with the carrier then and its uncertainty. */
  readonly carrierTrack?: readonly (readonly [seconds: number, carrierHz: number, uncertaintyHz: number])[];
}

export interface FrameRecord {
  readonly type: 'frame';
  readonly mission: string;
  readonly frame: string;
  /** Null for text that came without a recording. */
  readonly startSeconds: number | null;
  readonly receivedAt: string | null;
  readonly receivedAtSource: string | null;
  readonly receivedAtUncertaintySeconds: number | null;
  readonly text: string;
  readonly complete: boolean;
  readonly checksum: ChecksumState;
  readonly trust: Trust;
  readonly confidence: number;
  readonly fields: Readonly<Record<string, { readonly raw: RawValue; readonly confidence: number }>>;
  readonly readings: readonly ReadingRecord[];
  readonly notes: readonly string[];
}

export interface ReadingRecord {
  readonly parameter: string;
  readonly value: number | string | null;
  readonly unit: string | null;
  readonly trust: Trust;
  readonly confidence: number;
  readonly limit: LimitState;
  readonly notes: readonly string[];
}

/** A mission's beacon was there, too faint to be read. */
export interface PresenceRecord extends BeaconPresence {
  readonly type: 'presence';
}

/** When something was received, who says so, and how exactly (null when nobody says that). */
export interface Received {
  /** ISO 8601 UTC. */
  readonly at: string;
  readonly source: string;
  readonly uncertaintySeconds: number | null;
}

/** A text that a person gave, and what had to be assumed to read it. */
export interface TextRecord {
  readonly type: 'text';
  readonly file: string | null;
  readonly assumptions: readonly string[];
}

export function recordingRecord(
  file: string,
  sha256: string,
  start: RecordingStart | null,
  timeBase: RecordingRecord['timeBase'],
  { info, channel, seconds, problems }: DecodeSummary,
): RecordingRecord {
  return {
    type: 'recording',
    file,
    sha256,
    encoding: info.encoding,
    sampleRate: info.sampleRateHz,
    channels: info.channels,
    channel,
    seconds: rounded(seconds, 4),
    startedAt: start?.iso ?? null,
    startedAtSource: start?.source ?? null,
    timeAccuracySeconds: start?.uncertaintySeconds ?? null,
    timeBase,
    simulated: info.simulated ?? false,
    problems,
    ...(info.iq === undefined ? {} : { iq: info.iq }),
  };
}

export function burstRecord(burst: Burst): BurstRecord {
  return {
    type: 'burst',
    startSeconds: rounded(burst.startSeconds, 4),
    endSeconds: rounded(burst.endSeconds, 4),
    baud: rounded(burst.baud, 3),
    markHz: rounded(burst.markHz, 2),
    spaceHz: rounded(burst.spaceHz, 2),
    reversed: burst.reversed,
    stopElements: burst.stopElements,
    driftHzPerSecond: rounded(burst.driftHzPerSecond, 3),
    ebN0Db: Number.isFinite(burst.ebN0Db) ? rounded(burst.ebN0Db, 2) : null,
    text: burst.text,
    ...(burst.carrier === undefined ? {} : carrierKeys(burst.carrier)),
  };
}

function carrierKeys({ modulation, seconds, absoluteHz, track, ...carrier }: BurstCarrier) {
  return {
    modulation,
    carrierHz: rounded(carrier.carrierHz, 2),
    carrierAbsoluteHz: absoluteHz === null ? null : rounded(absoluteHz, 2),
    carrierSeconds: rounded(seconds, 4),
    carrierDriftHzPerSecond: rounded(carrier.driftHzPerSecond, 3),
    carrierUncertaintyHz: rounded(carrier.uncertaintyHz, 3),
    carrierTrack: track.map(
      (point) => [rounded(point.seconds, 4), rounded(point.carrierHz, 2), rounded(point.uncertaintyHz, 3)] as const,
    ),
  };
}

export function presenceRecord(presence: BeaconPresence): PresenceRecord {
  return {
    type: 'presence',
    mission: presence.mission,
    markHz: rounded(presence.markHz, 2),
    spaceHz: rounded(presence.spaceHz, 2),
    ebN0Db: rounded(presence.ebN0Db, 2),
    transmissions: presence.transmissions,
    firstSeconds: rounded(presence.firstSeconds, 4),
    lastSeconds: rounded(presence.lastSeconds, 4),
    intervalSeconds: rounded(presence.intervalSeconds, 4),
    falseAlarmProbability: Number(presence.falseAlarmProbability.toPrecision(2)),
  };
}

/** @param timing null for text that came without a recording. */
export function frameRecord(
  { mission, frame, readings }: FrameWithReadings,
  timing: { readonly startSeconds: number } | null,
  received: Received | null,
): FrameRecord {
  const fields = Object.entries(frame.fields).map(([id, { raw, confidence }]) => [id, { raw, confidence }] as const);
  return {
    type: 'frame',
    mission,
    frame: frame.frame,
    startSeconds: timing === null ? null : rounded(timing.startSeconds, 4),
    receivedAt: received?.at ?? null,
    receivedAtSource: received?.source ?? null,
    receivedAtUncertaintySeconds: received?.uncertaintySeconds == null ? null : rounded(received.uncertaintySeconds, 3),
    text: frame.text,
    complete: frame.complete,
    checksum: frame.checksum,
    trust: frame.trust,
    confidence: frame.confidence,
    fields: Object.fromEntries(fields),
    readings: readings.map(({ parameter, value, unit, trust, confidence, limit, notes }) => ({
      parameter,
      value,
      unit,
      trust,
      confidence,
      limit,
      notes,
    })),
    notes: frame.decision.notes,
  };
}

function rounded(value: number, decimals: number): number {
  return Number(value.toFixed(decimals));
}

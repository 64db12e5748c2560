import type { TimeBase } from '../../decoders/audio/time-gaps.ts';
import type { AudioProblem, BandInfo, ReceiverTuning } from '../../decoders/audio/types.ts';
import type { Agreement, BandBefore, ReadBefore } from '../../decoders/cut-outs/reading.ts';
import type { BeaconPresence } from '../../decoders/decode.ts';
import type { Reading } from '../../decoders/engineering/types.ts';
import type { DecodedFrame, Trust } from '../../decoders/frames/types.ts';
import type { Burst } from '../../decoders/teletype/types.ts';

/** Milliseconds since 1970-01-01T00:00:00Z. */
export type Instant = number;

export type Phase = 'bench' | 'rehearsal' | 'flight';
export type RecordingStatus = 'waiting' | 'decoding' | 'decoded' | 'failed';

export interface MissionVersion {
  readonly version: number;
  readonly savedAt: Instant;
}

export interface StoredMission extends MissionVersion {
  readonly id: string;
  readonly private: boolean;
  /** Made up for a demonstration. */
  readonly invented: boolean;
  /** The JSON value as its author wrote it. */
  readonly definition: unknown;
}

export interface MissionOverview extends MissionVersion {
  readonly id: string;
  readonly name: string;
  readonly callSign: string;
  readonly private: boolean;
  readonly invented: boolean;
  readonly frames: number;
  /** Reception time of the last frame in flight that is not doubtful. */
  readonly lastHeard: Instant | null;
}

export interface MissionChange {
  readonly id: string;
  readonly name: string;
  readonly callSign: string;
  readonly private: boolean;
  readonly invented: boolean;
  readonly definition: unknown;
  readonly savedAt: Instant;
  /** The version that must stand for the change to be made, 0 for none; null when any may. */
  readonly expected: number | null;
}

export type MissionSaving =
  | { readonly outcome: 'saved' | 'unchanged'; readonly version: number }
  | { readonly outcome: 'conflict'; readonly version: number };

export interface StoredStation {
  readonly callSign: string;
  readonly addedAt: Instant;
  readonly revokedAt: Instant | null;
  readonly keyHash: Uint8Array;
}

export interface StationOverview extends Omit<StoredStation, 'keyHash'> {
  readonly lastHeard: Instant | null;
  readonly frames: number;
  readonly recordings: number;
}

/** When a recording began, who says so, and how exactly. */
export interface Dating {
  readonly startedAt: Instant | null;
  /** `sender`, `file name`, or the part of the file that says it. */
  readonly startedAtSource: string | null;
  readonly timeAccuracySeconds: number | null;
  /** Null when nobody says it. */
  readonly timeBase: TimeBase | null;
}

/** What a sender says of a recording of a complex band, beside what it says of itself. */
export interface BandClaim {
  /** That its two channels are I and Q; else that is for the file to say, or to be recognised. */
  readonly isBand: boolean;
  /** Frequency that stands at zero; null when not said. */
  readonly centerHz: number | null;
  /** Null when not said. */
  readonly tuning: ReceiverTuning | null;
}

/** What came along with bursts that their sender cut out of a longer recording. Nothing is decided by it. */
export interface CutOutClaim {
  /** Program that read them, as it calls itself. */
  readonly software: string;
  readonly decoderVersion: number;
  readonly source: {
    /** Of the recording that they were cut out of; null when its sender does not say it. */
    readonly sha256: string | null;
    /** Where in it the cut-out begins. */
    readonly startSeconds: number;
  };
  /** Given for bursts of a complex band. */
  readonly band?: BandBefore;
  readonly bursts: readonly ReadBefore[];
}

export interface StoredCutOut extends CutOutClaim {
  /** How far the server's own reading is the same; null before there is one. */
  readonly readAgain: Agreement | null;
}

export interface NewRecording extends Dating {
  readonly sha256: string;
  /** Null for any mission. */
  readonly mission: string | null;
  readonly station: string;
  readonly vouched: boolean;
  readonly phase: Phase;
  readonly uploadedAt: Instant;
  readonly bytes: number;
  /** Null where nothing is said of a band. */
  readonly bandClaim: BandClaim | null;
  /** The sender's name for it: data, never a path. */
  readonly fileName: string | null;
  /** SHA-256 of the key that its sender was given. */
  readonly senderKeyHash: Uint8Array;
  /** Null for a recording as it was made. */
  readonly cutOut: StoredCutOut | null;
}

export interface AudioFacts {
  readonly encoding: string;
  readonly sampleRateHz: number;
  readonly channels: number;
  readonly channel: number | null;
  readonly seconds: number;
  /** The file says that nobody ever sent it. */
  readonly simulated: boolean;
  /** Given for a complex band: what its file says of it. */
  readonly iq?: BandInfo;
}

export interface Failure {
  readonly code: string;
  readonly message: string;
}

/** A mission's beacon was there, too faint to be read. */
export interface StoredPresence extends BeaconPresence {
  /** Version of the definition that it was looked for by. */
  readonly version: number;
}

export interface StoredRecording extends NewRecording {
  readonly id: number;
  readonly status: RecordingStatus;
  readonly failure: Failure | null;
  readonly audio: AudioFacts | null;
  readonly problems: readonly AudioProblem[];
  /** Of missions of which no frame that counts was heard in it, there alone or elsewhere too. */
  readonly presence: readonly StoredPresence[];
  readonly decoderVersion: number | null;
  readonly bursts: number;
  readonly frames: number;
}

/** What a station or the team says of a recording that nobody vouched for until then. */
export interface Claim {
  readonly station: string;
  /** Null to leave the phase as it is. */
  readonly phase: Phase | null;
}

export interface StoredBurst {
  readonly index: number;
  readonly burst: Burst;
}

/** A frame with the readings that it gives, about to be stored. */
export interface NewFrame {
  readonly mission: string;
  /** Version of the definition whose layout read it. */
  readonly version: number;
  readonly receivedAt: Instant | null;
  /** Who says when: `sender`, `file name`, or the part of a recording that says it; null without a time. */
  readonly receivedAtSource: string | null;
  /** Null without a time, and where nobody says how exact it is. */
  readonly receivedAtUncertaintySeconds: number | null;
  readonly station: string;
  readonly vouched: boolean;
  readonly phase: Phase;
  readonly decoded: DecodedFrame;
  readonly readings: readonly Reading[];
  /** Version of the definition that gave the readings. */
  readonly readingsVersion: number;
}

export type FrameSource =
  | { readonly kind: 'recording'; readonly recording: number; readonly burst: number }
  | { readonly kind: 'line'; readonly line: number };

/** What was read in one copy of a frame alone. */
export interface AloneReading {
  readonly mission: string;
  /** Version of the definition whose layout read it. */
  readonly version: number;
  readonly decoded: DecodedFrame;
}

/**
 * What a copy is to its frame: `added` to the others, `same-noise` as a clearer copy and therefore left out, or
 * `unvouched` and not needed beside those that somebody vouches for.
 */
export type CopyUse = 'added' | 'same-noise' | 'unvouched';

/** One of the places where a frame was heard. */
export interface StoredCopy {
  readonly recording: number;
  readonly burst: number;
  readonly use: CopyUse;
  /** Slot of the burst under each character of the frame; -1 where it has none. */
  readonly slots: readonly number[];
  /** Null where nothing was read. */
  readonly alone: AloneReading | null;
}

/** A frame that was heard, about to be stored: its slots and seconds are those of its source. */
export interface HeardFrame {
  readonly frame: NewFrame;
  readonly source: { readonly recording: number; readonly burst: number };
  readonly copies: readonly StoredCopy[];
}

/** A stored frame that is decided anew. */
export interface RedecidedFrame extends HeardFrame {
  readonly id: number;
  /** What it was before, to be told; null when only its time or its station changes. */
  readonly before: FrameState | null;
}

export interface FrameState {
  readonly text: string;
  readonly trust: Trust;
  readonly copies: number;
}

/** What becomes of frames when a recording comes, goes, or is dated anew. */
export interface FrameChanges {
  readonly added: readonly HeardFrame[];
  readonly redecided: readonly RedecidedFrame[];
  /** Frames that became part of others, or of which nothing is left. */
  readonly removed: readonly number[];
}

export interface StoredFrame extends Omit<NewFrame, 'readings'> {
  readonly id: number;
  readonly addedAt: Instant;
  readonly source: FrameSource;
}

/** All that decoding a recording gave, stored at once. */
export interface DecodingResult {
  readonly recording: number;
  readonly decoderVersion: number;
  /** The dating that the frames' times were reckoned from. */
  readonly dating: Dating;
  readonly audio: AudioFacts;
  readonly problems: readonly AudioProblem[];
  readonly presence: readonly StoredPresence[];
  /** How far what came along with a cut-out was read again; null for a recording as it was made. */
  readonly readAgain: Agreement | null;
  /** In the order of the recording, which is their index. */
  readonly bursts: readonly Burst[];
  readonly changes: FrameChanges;
  readonly finishedAt: Instant;
}

export interface NewLine {
  /** SHA-256 of all that makes it this line. */
  readonly hash: Uint8Array;
  readonly text: string;
  readonly assumptions: readonly string[];
  readonly addedAt: Instant;
}

export interface StoredLine {
  readonly text: string;
  readonly assumptions: readonly string[];
}

/** A frame's readings, reckoned anew. */
export interface RereadFrame {
  readonly id: number;
  readonly readings: readonly Reading[];
  readonly readingsVersion: number;
}

export interface FrameQuery {
  readonly mission: string;
  readonly from: Instant | null;
  readonly to: Instant | null;
  readonly station: string | null;
  readonly leastTrust: Trust;
  readonly phase: Phase | null;
  readonly limit: number;
  readonly after: { readonly receivedAt: Instant | null; readonly id: number } | null;
}

/** A reading where it stands in time. */
export interface StoredReading {
  readonly time: Instant;
  readonly frame: number;
  readonly value: number | string | null;
  readonly trust: Trust;
  readonly confidence: number;
  readonly limit: Reading['limit'];
  readonly vouched: boolean;
}

export interface LastReading extends StoredReading {
  readonly parameter: string;
  readonly station: string;
}

export interface SeriesQuery {
  readonly mission: string;
  readonly parameter: string;
  readonly from: Instant | null;
  readonly to: Instant | null;
  readonly phase: Phase;
  readonly leastTrust: Trust;
  readonly vouchedOnly: boolean;
  readonly points: number;
}

export interface Series {
  /** Oldest first. */
  readonly readings: readonly StoredReading[];
  /** Readings in the range before thinning. */
  readonly total: number;
  /** Width of the stretches whose extremes were kept; null when nothing was left out. */
  readonly bucketMilliseconds: number | null;
}

export type JobKind = 'decode' | 'recalculate';

export interface Job {
  readonly id: number;
  readonly kind: JobKind;
  /** The recording's id, or the mission's. */
  readonly subject: string;
  /** Times that it was taken, this one included. */
  readonly attempts: number;
}

export interface StoredEvent {
  readonly seq: number;
  readonly at: Instant;
  readonly event:
    | {
        readonly type: 'mission';
        readonly mission: string;
        readonly version: number;
        readonly change: 'saved' | 'recalculated';
      }
    | {
        readonly type: 'recording';
        readonly recording: number;
        /** The mission that it was sent for. */
        readonly mission: string | null;
        readonly status: RecordingStatus | 'deleted';
        readonly missions: readonly string[];
      }
    | { readonly type: 'frame'; readonly mission: string; readonly frame: number }
    | {
        readonly type: 'frame-redecided';
        readonly mission: string;
        readonly frame: number;
        readonly before: FrameState;
        readonly after: FrameState;
      };
}

export interface Settings {
  readonly title: string;
  readonly unvouchedUploads: boolean;
}

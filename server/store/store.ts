import type { Reading } from '../../decoders/engineering/types.ts';
import type {
  BandClaim,
  Claim,
  Dating,
  DecodingResult,
  Failure,
  FrameChanges,
  FrameQuery,
  Instant,
  Job,
  LastReading,
  MissionChange,
  MissionOverview,
  MissionSaving,
  MissionVersion,
  NewFrame,
  NewLine,
  NewRecording,
  Phase,
  RereadFrame,
  Series,
  SeriesQuery,
  Settings,
  StationOverview,
  StoredBurst,
  StoredCopy,
  StoredEvent,
  StoredFrame,
  StoredLine,
  StoredMission,
  StoredReading,
  StoredRecording,
  StoredStation,
} from './records.ts';

export interface MissionStore {
  missions(): Promise<MissionOverview[]>;
  /** Ids of the missions that are read by key only. */
  privateMissions(): Promise<string[]>;
  /** A definition: the newest, or the version asked for. */
  mission(id: string, version?: number): Promise<StoredMission | null>;
  /** Newest first. */
  missionVersions(id: string): Promise<MissionVersion[]>;
  /** Adds a version, and the job that brings the readings after it. */
  saveMission(change: MissionChange): Promise<MissionSaving>;
}

export interface StationStore {
  stations(): Promise<StationOverview[]>;
  /** Gives a station a new key; an earlier one is void from then on. */
  addStation(callSign: string, keyHash: Uint8Array, at: Instant): Promise<void>;
  /** False when there is no such station with a key. */
  revokeStation(callSign: string, at: Instant): Promise<boolean>;
  /** The station that holds this key, unless it was revoked. */
  stationByKeyHash(keyHash: Uint8Array): Promise<StoredStation | null>;
}

export interface RecordingStore {
  /** Adds a recording and the job that decodes it, unless these bytes are here already. */
  addRecording(recording: NewRecording): Promise<{ recording: StoredRecording; added: boolean }>;
  recording(id: number): Promise<StoredRecording | null>;
  recordingBySha256(sha256: string): Promise<StoredRecording | null>;
  recordingBySenderKeyHash(keyHash: Uint8Array): Promise<StoredRecording | null>;
  /** Newest first; without the missions that `exceptMissions` names. */
  recordings(query: {
    readonly limit: number;
    readonly after: number | null;
    readonly mission: string | null | undefined;
    readonly station: string | null;
    readonly sha256: string | null;
    readonly exceptMissions: readonly string[];
  }): Promise<StoredRecording[]>;
  /** From now on a known station or the team vouches for a recording; `changes` are what that makes of frames. */
  claimRecording(id: number, claim: Claim, changes: FrameChanges, at: Instant): Promise<void>;
  /** Changes when a recording began, with all that hangs on it. */
  redateRecording(id: number, dating: Dating, changes: FrameChanges, at: Instant): Promise<void>;
  /** Changes what its sender says of a recording as a complex band. */
  claimBand(id: number, claim: BandClaim, at: Instant): Promise<void>;
  /** The same where it decides how the samples are read: what was read goes, of frames by `changes`, and a job reads anew. */
  decodeAgain(id: number, claim: BandClaim, changes: FrameChanges, at: Instant): Promise<void>;
  /** Removes a recording with its bursts and jobs; `changes` are what becomes of the frames heard in it. */
  deleteRecording(id: number, changes: FrameChanges, at: Instant): Promise<void>;
  /** In the order of the recording. */
  bursts(recording: number): Promise<StoredBurst[]>;
  burst(recording: number, index: number): Promise<StoredBurst | null>;
  /** Bursts of dated recordings in the phase that were on the air between two times, inclusive. */
  burstsOnAir(phase: Phase, from: Instant, to: Instant): Promise<{ recording: number; index: number }[]>;
}

export interface JobStore {
  /** Takes the oldest job that is ready, or whose lease has run out, and marks its recording as being decoded. */
  takeJob(worker: string, now: Instant, leaseMilliseconds: number): Promise<Job | null>;
  /** Prolongs a lease; false when the job is no longer this worker's. */
  keepJob(id: number, worker: string, leaseUntil: Instant): Promise<boolean>;
  /** Puts a job back as if it had not been taken. */
  releaseJob(id: number): Promise<void>;
  /** Makes every job ready that was running: for a store that nobody else has open. */
  releaseAllJobs(): Promise<void>;
  /** Stores all of a result and ends its job, once: false when it is stored already or the recording is gone. */
  finishDecoding(result: DecodingResult): Promise<boolean>;
  failDecoding(recording: number, failure: Failure, at: Instant): Promise<void>;
  /** Ends the job unless frames are left to do; true when it ended. */
  finishRecalculation(mission: string, at: Instant): Promise<boolean>;
  /** Ends a recalculation that cannot be done. */
  dropRecalculation(mission: string): Promise<void>;
  jobCounts(): Promise<{ waiting: number; running: number }>;
}

export interface FrameStore {
  /** Adds a line with its frames, unless it is here already. */
  addLine(line: NewLine, frames: readonly NewFrame[]): Promise<{ frames: StoredFrame[]; added: boolean }>;
  line(id: number): Promise<StoredLine | null>;
  frame(id: number): Promise<StoredFrame | null>;
  /** By reception time, newest first; frames without one come last. */
  frames(query: FrameQuery): Promise<StoredFrame[]>;
  /** Frames heard in a recording, there alone or elsewhere too. */
  framesOfRecording(recording: number): Promise<StoredFrame[]>;
  /** Frames from recordings, of any mission, received between two times, inclusive. */
  framesHeard(phase: Phase, from: Instant, to: Instant): Promise<StoredFrame[]>;
  /** Where a frame was heard, that which it stands in first; none for a line. */
  copiesOfFrame(frame: number): Promise<StoredCopy[]>;
  /** Frames whose readings come from another version than this one. */
  framesToRecalculate(mission: string, version: number, limit: number): Promise<StoredFrame[]>;
  rereadFrames(frames: readonly RereadFrame[]): Promise<void>;
  /** The frame heard last that is not doubtful. */
  lastFrame(mission: string, phase: Phase): Promise<StoredFrame | null>;
  framesWithoutTime(mission: string, phase: Phase): Promise<number>;
  frameCounts(): Promise<Readonly<Record<Reading['trust'], number>>>;
}

export interface ReadingStore {
  /** The readings stored of a frame; none for a frame without a time. */
  readingsOfFrame(frame: number): Promise<(StoredReading & { parameter: string; notes: readonly string[] })[]>;
  series(query: SeriesQuery): Promise<Series>;
  /** For each parameter the newest reading that is not doubtful. */
  lastReadings(mission: string, phase: Phase): Promise<LastReading[]>;
  /** Newest first, vouched for and not doubtful. */
  recentReadings(mission: string, parameter: string, phase: Phase, limit: number): Promise<StoredReading[]>;
  /** Not doubtful, of these parameters, from `from` up to `to`; oldest first. */
  readingsBetween(
    mission: string,
    parameters: readonly string[],
    phase: Phase,
    from: Instant,
    to: Instant,
  ): Promise<(StoredReading & { parameter: string })[]>;
}

export interface EventStore {
  /** In order, from the one after `seq`. */
  eventsSince(seq: number, limit: number): Promise<StoredEvent[]>;
  /** Numbers of the oldest event kept and of the newest ever; `oldest` is past `newest` when none is kept. */
  eventRange(): Promise<{ oldest: number; newest: number }>;
  pruneEvents(keep: number): Promise<void>;
}

export interface SettingStore {
  settings(): Promise<Settings>;
  saveSettings(settings: Settings): Promise<void>;
}

/**
 * All that the server remembers, apart from the recordings' bytes. Every method is one unit of work: it happens whole or
 * not at all, and what it answered survives a crash.
 */
export interface Store
  extends MissionStore,
    StationStore,
    RecordingStore,
    JobStore,
    FrameStore,
    ReadingStore,
    EventStore,
    SettingStore {
  close(): Promise<void>;
}

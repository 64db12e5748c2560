/** What a container says of itself, and what reading it turned up. */
export interface AudioInfo {
  readonly sampleRateHz: number;
  readonly channels: number;
  /** For instance `wav pcm 16`. */
  readonly encoding: string;
  /** Length as the container states it; null for live or unknown. */
  readonly statedFrames: number | null;
  /** Start of the recording as the container states it, with its source; null when it does not. */
  readonly startedAt: StatedStart | null;
  /** Given when the first two channels are the two parts, I and Q, of a complex band. */
  readonly iq?: BandInfo;
  /** True when the container says that nobody ever sent this: see `SIMULATED`. */
  readonly simulated?: boolean;
  /** Vorbis comments of FLAC and Ogg as they stand, names in upper case, for instance `DATE`. */
  readonly comments?: readonly AudioComment[];
}

/** What a container says of a complex band. */
export interface BandInfo {
  /** One or more, in order; the first begins at 0. */
  readonly captures: readonly BandCapture[];
  /** Left out where nothing is known. */
  readonly tuning?: ReceiverTuning;
}

/** What is known of how the receiver was tuned: it tells what a carrier's frequency is worth to those who work out orbits. */
export interface ReceiverTuning {
  /**
   * `fixed` to one frequency; led along with the expected Doppler, which then is not in the recording any more; or `retuned` in
   * steps that the file states, which frequencies on the air take into account.
   */
  readonly mode: 'fixed' | 'doppler-corrected' | 'retuned' | 'unknown';
  /** By how much the receiver's reference may be off, in parts per million; null when unknown. */
  readonly referenceErrorPpm: number | null;
}

/** A stretch of a recording that was received in one go, at one tuning. */
export interface BandCapture {
  readonly startSeconds: number;
  /** Frequency that stands at zero; null when not stated. */
  readonly centerHz: number | null;
  /** ISO 8601, UTC; null when not stated. */
  readonly startedAt: string | null;
}

/** A start of recording as it stands in a container: see `RecordingStart`. */
export interface StatedStart {
  /** ISO 8601, UTC. */
  readonly iso: string;
  readonly source: string;
  /** Without it a second. */
  readonly uncertaintySeconds?: number;
  /** Without it true. */
  readonly zoneStated?: boolean;
}

export interface AudioComment {
  readonly name: string;
  readonly value: string;
}

/** Damage is data: what was wrong, and where, never an exception. */
export interface AudioProblem {
  /** Stable, kebab-case, for instance `cut-short`. */
  readonly code: string;
  readonly message: string;
  readonly atSeconds: number | null;
}

/** A block of samples, one array a channel, each -1..1 for integer formats. Arrays are reused: copy what must last. */
export interface AudioBlock {
  readonly frames: number;
  readonly channels: readonly Float32Array[];
}

/**
 * Every container is read through this: push bytes as they come, in pieces of any size; take blocks out. Piece borders
 * never matter. Memory does not grow with the length of the input.
 */
export interface AudioReader {
  /** Null until enough bytes have come to know the format. */
  readonly info: AudioInfo | null;
  readonly problems: readonly AudioProblem[];
  /**
   * Bytes of one sample of every channel; null until they are known. Only containers have it whose samples lie bare, one
   * after another: when `info` is known, the reader may be fed from any whole frame on, and gives the samples from there.
   */
  readonly frameBytes?: number | null | undefined;
  /** Feeds bytes and calls `onBlock` for every block that they complete. Throws `AudioError` when it is no such file. */
  push(bytes: Uint8Array, onBlock: (block: AudioBlock) => void): void;
  /** Says that no more bytes come. Throws `AudioError` when nothing readable came at all. */
  end(onBlock: (block: AudioBlock) => void): void;
}

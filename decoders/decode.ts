import type { AudioCodecs } from './audio/codecs.ts';
import type { AudioInfo, AudioProblem, ReceiverTuning } from './audio/types.ts';
import type { Reading } from './engineering/types.ts';
import type { Repetition } from './frames/copies/types.ts';
import type { DecodedFrame } from './frames/types.ts';
import type { Mission } from './mission/types.ts';
import type { Presence } from './signal/known/presence.ts';
import type { Burst } from './teletype/types.ts';

/** A frame with the readings that it gives. */
export interface FrameWithReadings {
  readonly mission: string;
  readonly frame: DecodedFrame;
  readonly readings: readonly Reading[];
  /** What the frame was put together from, where the burst repeats it. */
  readonly repetitions?: readonly Repetition[];
}

/** What a recording decoder says, in the order of the recording. */
export type DecodeEvent =
  | {
      readonly type: 'burst';
      readonly burst: Burst;
      readonly frames: readonly FrameWithReadings[];
      /** The one it was read from; left out for a burst from a complex band. */
      readonly channel?: number;
    }
  | { readonly type: 'progress'; readonly seconds: number };

/**
 * A mission's beacon was there, too faint to be read: something keyed as it is came at its interval, transmission after
 * transmission. A sender of the same keying, tones and interval, whose text is alike, cannot be told from it.
 */
export interface BeaconPresence extends Omit<Presence, 'offsetHz'> {
  readonly mission: string;
  readonly markHz: number;
  readonly spaceHz: number;
}

export interface DecodeSummary {
  readonly info: AudioInfo;
  readonly seconds: number;
  readonly problems: readonly AudioProblem[];
  /** Channel that was decoded; null when there was only one. */
  readonly channel: number | null;
  /** Beacons of missions of which nothing was read. */
  readonly presence: readonly BeaconPresence[];
}

/**
 * Bytes of a recording in, bursts with frames and readings out. Pure: give it bytes in any pieces, memory stays
 * bounded for any length.
 */
export interface RecordingDecoder {
  push(bytes: Uint8Array, onEvent: (event: DecodeEvent) => void): void;
  end(onEvent: (event: DecodeEvent) => void): DecodeSummary;
}

/** A two-channel recording declared to be I and Q of a complex band. */
export interface DeclaredBand {
  /** Frequency that stands at zero; null when unknown. */
  readonly centerHz: number | null;
}

export interface DecodeOptions {
  readonly missions: readonly Mission[];
  /**
   * Reads bursts that name the call sign of practice as what they practise, under the missions' own ids: `isPractice` tells
   * the text of such a frame. Without it they give none.
   */
  readonly practice?: boolean;
  /** Reception time of the first sample, for validity of calibrations; ISO 8601 UTC. */
  readonly startedAt?: string;
  /** Text of the metadata of a SigMF recording, of which the bytes are the samples, or an archive. */
  readonly sigmfMeta?: string;
  /** What `prepareAudio` gave for this recording; not needed for WAV and FLAC. */
  readonly codecs?: AudioCodecs;
  /** Says that two channels are I and Q, which else is recognised only where it is certain. */
  readonly iq?: DeclaredBand;
  /** What the station knows of its receiver, for complex bands. Default: nothing. */
  readonly tuning?: ReceiverTuning;
}

import type { DecodedSamples } from '../codecs.ts';
import type { AudioComment } from '../types.ts';

/** One logical stream of an Ogg file: packets in, samples out. */
export interface OggCodec {
  readonly sampleRateHz: number;
  readonly channels: number;
  /** For instance `ogg opus`. */
  readonly encoding: string;
  /** Frames at the start of the stream that are no sound; granule positions count them. */
  readonly skip: number;
  /** What the header of comments says; empty until it has come. */
  readonly comments: readonly AudioComment[];
  /**
   * Takes the packets behind the first one.
   *
   * @param intact false when a byte of the packet may be wrong.
   * @returns what they give; null for headers. A packet that cannot be read gives silence of about its length.
   * @throws AudioError when without this packet nothing can be read.
   */
  decode(packet: Uint8Array, intact: boolean): OggSamples | null;
  /** Set where headers behind the first show that nothing in the stream can be read by this decoder. */
  readonly isForeign?: boolean;
  /** The codec of a stream that begins so behind this one and goes on with it; null when it cannot. */
  following(first: Uint8Array): OggCodec | null;
  /** Lets go of the memory of a decoder. */
  free(): void;
}

export interface OggSamples {
  readonly frames: number;
  /** Null: what stood here cannot be read. */
  readonly channels: DecodedSamples['channels'] | null;
}

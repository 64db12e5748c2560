import { AudioError } from '../errors.ts';

/** Samples of one packet or frame, one array a channel; they are the taker's to keep and change. */
export interface DecodedSamples {
  readonly frames: number;
  readonly channels: readonly Float32Array[];
}

/** Decodes packets of Opus (RFC 6716) one after the other, to 48 kHz. */
export interface OpusDecoding {
  readonly channels: number;
  /** Null when the packet cannot be decoded. */
  decode(packet: Uint8Array): DecodedSamples | null;
  free(): void;
}

/** Decodes packets of Vorbis (Vorbis I specification, section 1.3.2) one after the other. */
export interface VorbisDecoding {
  /** Takes the identification and the setup header. False when they cannot be used. */
  begin(identification: Uint8Array, setup: Uint8Array): boolean;
  /** Null when the packet cannot be decoded. */
  decode(packet: Uint8Array): DecodedSamples | null;
  free(): void;
}

/** Decodes frames of MPEG audio, layers I to III, one after the other, always to two channels. */
export interface MpegDecoding {
  /** Null when the frame cannot be decoded. */
  decode(frame: Uint8Array): DecodedSamples | null;
  free(): void;
}

/** A decoder that must be there. @throws AudioError `codec-not-loaded`. */
export function codecOf<T>(decoding: T | undefined, name: string): T {
  if (decoding !== undefined) return decoding;
  throw new AudioError(
    'codec-not-loaded',
    `The ${name} decoder was not loaded: whoever opens a recording must await prepareAudio first. Please report it.`,
  );
}

/** The decoders that take time to load, as far as they are loaded: see `prepareAudio`. Each serves one recording. */
export interface AudioCodecs {
  readonly opus?: OpusDecoding;
  readonly vorbis?: VorbisDecoding;
  readonly mpeg?: MpegDecoding;
}

/** No decoder means a sample to be larger: it comes from damage and would drown everything around it. */
const LARGEST_SAMPLE = 256;

/** Samples of a decoder that was given any bytes: what is no usable number becomes 0. */
export function usableSamples(channels: readonly Float32Array[], frames: number): DecodedSamples {
  for (const channel of channels) {
    for (let i = 0; i < frames; i++) if (!(Math.abs(channel[i]) <= LARGEST_SAMPLE)) channel[i] = 0;
  }
  return { frames, channels };
}

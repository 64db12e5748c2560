import { AudioError } from '../../errors.ts';
import { FrameDecoder } from '../flac/frame.ts';
import { type FrameHeader, parseFrameHeader } from '../flac/frame-header.ts';
import { parseStreamInfo, type StreamInfo } from '../flac/stream-info.ts';
import { requirePlausible } from '../plausible-format.ts';
import type { AudioComment } from '../types.ts';
import { parseVorbisComments } from '../vorbis-comment.ts';
import type { OggCodec, OggSamples } from './codec.ts';

/** Behind signature, version, count of headers, `fLaC` and the header of the block (RFC 9639 section 10.1). */
const STREAM_INFO_AT = 17;
const BLOCK_HEADER_BYTES = 4;
const VORBIS_COMMENT = 4;

/**
 * FLAC in Ogg (RFC 9639 section 10.1): one metadata block or one frame a packet.
 *
 * @throws AudioError `ogg-flac-head` when the first packet is damaged, `sample-rate`.
 */
export class OggFlac implements OggCodec {
  readonly sampleRateHz: number;
  readonly channels: number;
  readonly encoding: string;
  readonly skip = 0;
  comments: readonly AudioComment[] = [];
  readonly #bitsPerSample: number;
  readonly #decoder = new FrameDecoder();
  #lastFrames = 0;

  /** @param first packet of the stream, which holds STREAMINFO. */
  constructor(first: Uint8Array) {
    const info = streamInfoOf(first);
    if (info === null) {
      throw new AudioError('ogg-flac-head', 'The header of the FLAC stream is damaged. Copy the file again.');
    }
    requirePlausible('FLAC', info.channels, info.sampleRateHz);
    this.sampleRateHz = info.sampleRateHz;
    this.channels = info.channels;
    this.encoding = `ogg flac ${info.bitsPerSample}`;
    this.#bitsPerSample = info.bitsPerSample;
  }

  /** A frame has checksums of its own: whether the page was intact does not matter. */
  decode(packet: Uint8Array): OggSamples | null {
    // Some writers end with an empty packet (seen, ffmpeg 4.1).
    if (packet.length === 0) return null;
    if (packet[0] !== 0xff) {
      if ((packet[0] & 0x7f) === VORBIS_COMMENT)
        this.comments = parseVorbisComments(packet.subarray(BLOCK_HEADER_BYTES));
      return null;
    }
    const header = parseFrameHeader(packet, 0, packet.length);
    if (header === null || header === 'incomplete' || !this.#fits(header)) {
      return { frames: this.#lastFrames, channels: null };
    }
    this.#lastFrames = header.blockSize;
    const length = this.#decoder.decode(header, this.#bitsPerSample, packet, 0, packet.length);
    return { frames: header.blockSize, channels: length > 0 ? this.#scaled(header.blockSize) : null };
  }

  following(first: Uint8Array): OggFlac | null {
    const info = streamInfoOf(first);
    const goesOn =
      info?.sampleRateHz === this.sampleRateHz &&
      info.channels === this.channels &&
      info.bitsPerSample === this.#bitsPerSample;
    return goesOn ? new OggFlac(first) : null;
  }

  free(): void {}

  #fits({ channels, sampleRateHz, bitsPerSample }: FrameHeader): boolean {
    return (
      channels === this.channels &&
      (sampleRateHz ?? this.sampleRateHz) === this.sampleRateHz &&
      (bitsPerSample ?? this.#bitsPerSample) === this.#bitsPerSample
    );
  }

  #scaled(frames: number): Float32Array[] {
    const step = 2 ** (1 - this.#bitsPerSample);
    return Array.from({ length: this.channels }, (_, c) => {
      const samples = this.#decoder.channels[c];
      const scaled = new Float32Array(frames);
      for (let i = 0; i < frames; i++) scaled[i] = samples[i] * step;
      return scaled;
    });
  }
}

function streamInfoOf(first: Uint8Array): StreamInfo | null {
  return parseStreamInfo(first.subarray(STREAM_INFO_AT));
}

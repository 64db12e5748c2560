import { AudioError } from '../errors.ts';
import { BitWriter } from './flac/bit-writer.ts';
import { BLOCK_SIZE, FrameWriter } from './flac/frame-writer.ts';
import { Md5 } from './flac/md5.ts';
import { STREAM_INFO_BYTES } from './flac/stream-info.ts';
import type { AudioComment } from './types.ts';
import { packVorbisComments } from './vorbis-comment.ts';

export interface FlacOptions {
  readonly sampleRateHz: number;
  /** For instance `DATE` with the start of the recording. Names are ASCII. */
  readonly comments?: readonly AudioComment[];
}

/** What the bits of STREAMINFO can say. */
const MOST_RATE_HZ = 2 ** 20 - 1;
const BITS_PER_SAMPLE = 16;
const VENDOR = 'fiveunit';
/** Where in a file STREAMINFO has the MD5 of the samples, which only their end tells (RFC 9639 section 8.2). */
const MD5_AT = 26;

/**
 * A whole FLAC file of 16 bits, with the MD5 of its samples.
 *
 * @param samples one array for mono, else two for stereo, both of one length; -1..1, beyond that they are cut.
 * @throws AudioError as `FlacWriter`.
 */
export function encodeFlac(samples: Float32Array | readonly Float32Array[], options: FlacOptions): Uint8Array {
  const channels = samples instanceof Float32Array ? [samples] : samples;
  const frames = channels[0]?.length ?? 0;
  const writer = new FlacWriter({ ...options, channels: channels.length, frames });
  const parts: Uint8Array[] = [];
  const keep = (bytes: Uint8Array): void => {
    parts.push(bytes.slice());
  };
  writer.push(channels, frames, keep);
  writer.end(keep);
  const file = new Uint8Array(parts.reduce((length, part) => length + part.length, 0));
  let at = 0;
  for (const part of parts) {
    file.set(part, at);
    at += part.length;
  }
  file.set(writer.md5(), MD5_AT);
  return file;
}

/**
 * Writes FLAC as the samples come (RFC 9639): one or two channels of 16 bits, fixed predictors and Rice codes. Memory
 * for one block. A recorder that is stopped leaves a whole file but for its last block.
 */
export class FlacWriter {
  readonly #header: Uint8Array;
  readonly #frames: FrameWriter;
  readonly #block: readonly Int32Array[];
  readonly #md5 = new Md5();
  readonly #interleaved: Uint8Array;
  #filled = 0;
  #isBegun = false;

  /**
   * @param options.frames samples of each channel where they are known beforehand.
   * @throws AudioError `channel-count` for other than one or two, `sample-rate` for what a FLAC file cannot state.
   */
  constructor(options: FlacOptions & { readonly channels: number; readonly frames?: number | null }) {
    const { sampleRateHz, channels } = options;
    if (channels !== 1 && channels !== 2) {
      throw new AudioError('channel-count', `${channels} channels are not written as FLAC here; 1 or 2 can be.`);
    }
    if (!Number.isInteger(sampleRateHz) || sampleRateHz < 1 || sampleRateHz > MOST_RATE_HZ) {
      const what = `${sampleRateHz} samples a second do not fit into a FLAC file`;
      throw new AudioError('sample-rate', `${what}; whole numbers from 1 to ${MOST_RATE_HZ} can be.`);
    }
    this.#header = fileHeader(sampleRateHz, channels, options.frames ?? 0, options.comments ?? []);
    this.#frames = new FrameWriter(sampleRateHz);
    this.#block = Array.from({ length: channels }, () => new Int32Array(BLOCK_SIZE));
    this.#interleaved = new Uint8Array(2 * channels * BLOCK_SIZE);
  }

  /** Takes the first `frames` samples of each channel. The bytes given out hold until `onBytes` returns. */
  push(channels: readonly Float32Array[], frames: number, onBytes: (bytes: Uint8Array) => void): void {
    this.#begin(onBytes);
    for (let at = 0; at < frames; ) {
      const taken = Math.min(BLOCK_SIZE - this.#filled, frames - at);
      for (let c = 0; c < this.#block.length; c++) quantise(channels[c], at, this.#block[c], this.#filled, taken);
      this.#filled += taken;
      at += taken;
      if (this.#filled === BLOCK_SIZE) this.#writeBlock(onBytes);
    }
  }

  end(onBytes: (bytes: Uint8Array) => void): void {
    this.#begin(onBytes);
    if (this.#filled > 0) this.#writeBlock(onBytes);
  }

  /** Of the samples written, 16 bytes; ask once, after `end`. */
  md5(): Uint8Array {
    return this.#md5.end();
  }

  #begin(onBytes: (bytes: Uint8Array) => void): void {
    if (this.#isBegun) return;
    this.#isBegun = true;
    onBytes(this.#header);
  }

  #writeBlock(onBytes: (bytes: Uint8Array) => void): void {
    this.#md5.add(this.#interleave());
    onBytes(this.#frames.write(this.#block, this.#filled));
    this.#filled = 0;
  }

  /** The samples of the block as the MD5 takes them: channel after channel, signed, little-endian. */
  #interleave(): Uint8Array {
    let at = 0;
    for (let i = 0; i < this.#filled; i++) {
      for (const channel of this.#block) {
        this.#interleaved[at++] = channel[i];
        this.#interleaved[at++] = channel[i] >> 8;
      }
    }
    return this.#interleaved.subarray(0, at);
  }
}

function quantise(from: Float32Array, fromAt: number, to: Int32Array, toAt: number, count: number): void {
  for (let i = 0; i < count; i++) {
    to[toAt + i] = Math.max(-32768, Math.min(32767, Math.round(32768 * from[fromAt + i])));
  }
}

/** Marker, STREAMINFO and comments. Frame sizes and the MD5 of the samples are left unknown, as the head of a stream must. */
function fileHeader(
  sampleRateHz: number,
  channels: number,
  frames: number,
  comments: readonly AudioComment[],
): Uint8Array {
  const body = packVorbisComments(VENDOR, comments);
  const bits = new BitWriter();
  for (const letter of 'fLaC') bits.put(letter.charCodeAt(0), 8);
  bits.put(0, 8);
  bits.put(STREAM_INFO_BYTES, 24);
  bits.put(BLOCK_SIZE, 16);
  bits.put(BLOCK_SIZE, 16);
  bits.put(0, 24);
  bits.put(0, 24);
  bits.put(sampleRateHz, 20);
  bits.put(channels - 1, 3);
  bits.put(BITS_PER_SAMPLE - 1, 5);
  bits.put(Math.floor(frames / 2 ** 32), 4);
  bits.put(frames, 32);
  for (let i = 0; i < 4; i++) bits.put(0, 32);
  bits.put(0x84, 8);
  bits.put(body.length, 24);
  for (const byte of body) bits.put(byte, 8);
  return bits.bytes.slice();
}

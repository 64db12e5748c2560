import { BitReader } from './bit-reader.ts';
import { crc16 } from './crc.ts';
import type { FrameHeader } from './frame-header.ts';
import { readSubframe, readWideSubframe } from './subframe.ts';

/** The bytes are no whole frame, or a damaged one. */
export const DAMAGED = -1;
/** The bytes end within the frame. */
export const INCOMPLETE = 0;

/** Above this a difference of two channels, or a sum on the way back to them, has more than 32 bits. */
const MOST_NARROW_BITS = 30;
const NO_SAMPLES = new Float64Array(0);

/**
 * Decodes FLAC frames (RFC 9639 section 9), one after another into the same arrays. A frame stands for itself: the order
 * of calls does not matter.
 */
export class FrameDecoder {
  /** Samples of the last frame, as integers of its bit depth, one array a channel; longer than a block. */
  readonly channels: Int32Array[] = [];
  readonly #reader = new BitReader();
  /** Only for a difference of two 32-bit channels. */
  #wide = NO_SAMPLES;

  /**
   * Decodes the frame at byte `at`, of which `header` was read there.
   *
   * @param bitsPerSample of the frame, or of STREAMINFO where the frame leaves it open.
   * @param to end of the bytes.
   * @returns the length of the frame in bytes, `DAMAGED` or `INCOMPLETE`; the samples are good only after a length.
   */
  decode(header: FrameHeader, bitsPerSample: number, bytes: Uint8Array, at: number, to: number): number {
    const { blockSize, channels } = header;
    for (let c = 0; c < channels; c++) {
      if ((this.channels[c]?.length ?? 0) < blockSize) this.channels[c] = new Int32Array(blockSize);
    }
    const reader = this.#reader;
    reader.open(bytes, at + header.bytes, to);
    for (let c = 0; c < channels; c++) {
      const isRead = this.#readChannel(c, header, bitsPerSample);
      if (reader.isPast) return INCOMPLETE;
      if (!isRead) return DAMAGED;
    }
    const end = reader.align() + 2;
    if (end > to) return INCOMPLETE;
    if (crc16(bytes, at, end) !== 0) return DAMAGED;
    this.#joinChannels(header, bitsPerSample);
    return end - at;
  }

  #readChannel(channel: number, { blockSize, decorrelation }: FrameHeader, bits: number): boolean {
    const samples = this.channels[channel];
    if (!isDifference(channel, decorrelation)) return readSubframe(this.#reader, bits, blockSize, samples);
    if (bits <= MOST_NARROW_BITS) return readSubframe(this.#reader, bits + 1, blockSize, samples);
    if (this.#wide.length < blockSize) this.#wide = new Float64Array(blockSize);
    return readWideSubframe(this.#reader, bits + 1, blockSize, samples, this.#wide);
  }

  #joinChannels({ blockSize, decorrelation }: FrameHeader, bits: number): void {
    const [left, right] = this.channels;
    if (decorrelation === 'none') return;
    if (bits > MOST_NARROW_BITS) joinWide(decorrelation, left, right, this.#wide, blockSize);
    else if (decorrelation === 'left-side') for (let i = 0; i < blockSize; i++) right[i] = left[i] - right[i];
    else if (decorrelation === 'side-right') for (let i = 0; i < blockSize; i++) left[i] += right[i];
    else joinMidSide(left, right, blockSize);
  }
}

/** Which of the two channels of a frame is their difference (RFC 9639 section 9.1.3). */
function isDifference(channel: number, decorrelation: FrameHeader['decorrelation']): boolean {
  return decorrelation !== 'none' && channel === (decorrelation === 'side-right' ? 0 : 1);
}

/** The mean was rounded down; the lowest bit of the difference says by how much. */
function joinMidSide(left: Int32Array, right: Int32Array, blockSize: number): void {
  for (let i = 0; i < blockSize; i++) {
    const side = right[i];
    const sum = (left[i] << 1) | (side & 1);
    left[i] = (sum + side) >> 1;
    right[i] = (sum - side) >> 1;
  }
}

function joinWide(
  decorrelation: FrameHeader['decorrelation'],
  left: Int32Array,
  right: Int32Array,
  side: Float64Array,
  blockSize: number,
): void {
  for (let i = 0; i < blockSize; i++) {
    if (decorrelation === 'left-side') {
      right[i] = left[i] - side[i];
    } else if (decorrelation === 'side-right') {
      left[i] = right[i] + side[i];
    } else {
      const sum = 2 * left[i] + Math.abs(side[i] % 2);
      left[i] = (sum + side[i]) / 2;
      right[i] = (sum - side[i]) / 2;
    }
  }
}

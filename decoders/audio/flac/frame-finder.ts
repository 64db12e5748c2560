import { FrameDecoder, INCOMPLETE } from './frame.ts';
import { type FrameHeader, MOST_HEADER_BYTES, parseFrameHeader } from './frame-header.ts';
import { MarkerScan } from './marker-scan.ts';

/** What stands between two frames. */
export interface PassedBytes {
  readonly bytes: number;
  /** Whether a FLAC file begins in them. */
  readonly holdMarker: boolean;
}

/** What the finder asks and tells whoever wants the frames. */
export interface FrameTaker {
  /** Bits of a sample of this frame; null when it cannot belong to the stream. */
  bitsPerSample(header: FrameHeader): number | null;
  /** An intact frame behind bytes that were passed over since the last one. The arrays are used again. */
  take(header: FrameHeader, channels: readonly Int32Array[], passed: PassedBytes): void;
  /** A header whose frame is damaged, after so many passed bytes. */
  lose(header: FrameHeader, passedBytes: number): void;
}

/** Room for many frames of usual size, so that few of them need to be moved. */
const BUFFER_BYTES = 1 << 18;
/**
 * Samples that may be decoded in vain for each byte of the stream, and at first: hostile bytes with a header in each
 * place cannot cost more; damaged recordings stay far below.
 */
const VAIN_SAMPLES_PER_BYTE = 64;
const VAIN_SAMPLES = 2e6;

/**
 * Bytes of a FLAC stream in pieces of any size -> its intact frames, in order. After damage it goes on at the next frame
 * whose header CRC-8 and frame CRC-16 fit (RFC 9639 section 9). What it finds does not depend on the pieces; it holds
 * little more than one frame.
 */
export class FrameFinder {
  /** Bytes passed over since the last intact frame. */
  passedBytes = 0;
  /** Whether the bytes ended within a frame; known after `end`. */
  isCutShort = false;
  readonly #mostFrameBytes: number;
  readonly #decoder = new FrameDecoder();
  readonly #marker = new MarkerScan();
  #bytes = new Uint8Array(BUFFER_BYTES);
  #at = 0;
  #end = 0;
  /** Bytes that must be there before it is worth while to look at `#at` again. */
  #wanted = 0;
  /** Bytes of the stream before `#at`. */
  #position = 0;
  #vainSamples = 0;

  /** @param mostFrameBytes of the stream where STREAMINFO says so: it need not wait for more. */
  constructor(mostFrameBytes: number | null) {
    this.#mostFrameBytes = mostFrameBytes ?? Number.POSITIVE_INFINITY;
  }

  /** Whether a FLAC file begins in the bytes passed over since the last intact frame. */
  get passedMarker(): boolean {
    return this.#marker.isFound;
  }

  push(bytes: Uint8Array, taker: FrameTaker): void {
    for (let at = 0; at < bytes.length; ) {
      this.#makeRoom();
      const taken = Math.min(this.#bytes.length - this.#end, bytes.length - at);
      this.#bytes.set(bytes.subarray(at, at + taken), this.#end);
      this.#end += taken;
      at += taken;
      this.#search(taker, false);
    }
  }

  end(taker: FrameTaker): void {
    this.#search(taker, true);
  }

  /** Looks for frames as far as the bytes reach. */
  #search(taker: FrameTaker, isEnd: boolean): void {
    while (this.#at < this.#end && (isEnd || this.#end - this.#at >= this.#wanted)) {
      const header = parseFrameHeader(this.#bytes, this.#at, this.#end);
      if (header === 'incomplete' && !isEnd) {
        this.#wanted = MOST_HEADER_BYTES;
        return;
      }
      const bits = header === null || header === 'incomplete' ? null : taker.bitsPerSample(header);
      if (header === null || header === 'incomplete' || bits === null || this.#triedTooMuch()) {
        this.#passOver();
      } else if (!this.#tryFrame(header, bits, taker, isEnd)) {
        return;
      }
    }
  }

  /** Decodes a frame at `#at`. Returns false when it must wait for more bytes. */
  #tryFrame(header: FrameHeader, bits: number, taker: FrameTaker, isEnd: boolean): boolean {
    const plain = plainBytes(header, bits);
    // A frame larger than one of plain samples is possible, if foolish; one of twice the size is none.
    const most = 2 * plain;
    const held = this.#end - this.#at;
    const wanted = Math.max(this.#wanted, Math.min(plain, this.#mostFrameBytes));
    if (held < wanted && !isEnd) {
      this.#wanted = wanted;
      return false;
    }
    const tried = Math.min(held, most);
    const length = this.#decoder.decode(header, bits, this.#bytes, this.#at, this.#at + tried);
    if (length > 0) {
      taker.take(header, this.#decoder.channels, { bytes: this.passedBytes, holdMarker: this.#marker.isFound });
      this.passedBytes = 0;
      this.#marker.reset();
      this.isCutShort = false;
      this.#advance(length);
      return true;
    }
    if (length === INCOMPLETE && tried < most) {
      if (!isEnd) {
        this.#wanted = Math.min(most, 2 * tried);
        return false;
      }
      this.isCutShort = true;
    } else {
      taker.lose(header, this.passedBytes);
    }
    this.#vainSamples += header.blockSize * header.channels;
    this.#passOver();
    return true;
  }

  #triedTooMuch(): boolean {
    return this.#vainSamples > VAIN_SAMPLES + VAIN_SAMPLES_PER_BYTE * this.#position;
  }

  /** Goes on to the next byte that a frame may begin with. */
  #passOver(): void {
    const next = this.#bytes.subarray(0, this.#end).indexOf(0xff, this.#at + 1);
    const passed = (next < 0 ? this.#end : next) - this.#at;
    this.passedBytes += passed;
    this.#marker.push(this.#bytes.subarray(this.#at, this.#at + passed));
    this.#advance(passed);
  }

  #advance(bytes: number): void {
    this.#at += bytes;
    this.#position += bytes;
    this.#wanted = 0;
  }

  #makeRoom(): void {
    const held = this.#end - this.#at;
    if (this.#wanted > this.#bytes.length) {
      const larger = new Uint8Array(2 * this.#wanted);
      larger.set(this.#bytes.subarray(this.#at, this.#end));
      this.#bytes = larger;
    } else if (this.#end === this.#bytes.length) {
      this.#bytes.copyWithin(0, this.#at, this.#end);
    } else {
      return;
    }
    this.#at = 0;
    this.#end = held;
  }
}

/** Bytes of a frame whose samples stand as they are. */
function plainBytes({ blockSize, channels }: FrameHeader, bits: number): number {
  return MOST_HEADER_BYTES + channels * Math.ceil((blockSize * (bits + 1) + 40) / 8) + 2;
}

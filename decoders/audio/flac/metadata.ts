import { AudioError } from '../../errors.ts';
import type { AudioComment } from '../types.ts';
import { parseVorbisComments } from '../vorbis-comment.ts';
import { parseStreamInfo, STREAM_INFO_BYTES, type StreamInfo } from './stream-info.ts';

const STREAM_INFO = 0;
const VORBIS_COMMENT = 4;
const FORBIDDEN = 127;

/** How much of a block is kept; the rest is skipped, whatever size it states. */
const KEPT_BYTES: ReadonlyMap<number, number> = new Map([
  [STREAM_INFO, STREAM_INFO_BYTES],
  [VORBIS_COMMENT, 1 << 16],
]);

/** What the next bytes are. */
type State = 'marker' | 'header' | 'body' | 'skip' | 'done';

/**
 * Reads what stands before the frames of a FLAC file: marker and metadata blocks (RFC 9639 sections 6 and 8). Damage
 * ends it early, as frames can be found without it.
 */
export class MetadataReader {
  streamInfo: StreamInfo | null = null;
  comments: readonly AudioComment[] = [];
  /** Bytes taken for metadata that are none; known when done. */
  leftover: Uint8Array = new Uint8Array(0);

  #state: State = 'marker';
  #isFirst = true;
  #isLast = false;
  #type = STREAM_INFO;
  /** Bytes of the block that are still to come. */
  #left = 0;
  #kept = new Uint8Array(STREAM_INFO_BYTES);
  #keptLength = 0;

  get isDone(): boolean {
    return this.#state === 'done';
  }

  get isBegun(): boolean {
    return this.#state !== 'marker';
  }

  /**
   * Takes bytes as far as the metadata goes. Returns how many.
   *
   * @throws AudioError `not-a-recording` where no FLAC file begins.
   */
  push(bytes: Uint8Array): number {
    let at = 0;
    while (at < bytes.length && !this.isDone) at += this.#step(bytes.subarray(at));
    return at;
  }

  #step(bytes: Uint8Array): number {
    switch (this.#state) {
      case 'marker':
        return this.#keep(bytes, 4, (marker) => {
          if (String.fromCharCode(...marker) !== 'fLaC') {
            throw new AudioError('not-a-recording', 'The file does not begin as a FLAC file does; it is none.');
          }
          this.#state = 'header';
        });
      case 'header':
        return this.#keep(bytes, 4, (header) => this.#beginBlock(header));
      case 'body': {
        const wanted = Math.min(KEPT_BYTES.get(this.#type) ?? 0, this.#left);
        return this.#keep(bytes, wanted, (body) => {
          this.#left -= wanted;
          if (this.#type === STREAM_INFO) this.streamInfo = parseStreamInfo(body);
          else this.comments = parseVorbisComments(body);
          this.#skip(0);
        });
      }
      default: {
        const skipped = Math.min(this.#left, bytes.length);
        this.#skip(skipped);
        return skipped;
      }
    }
  }

  #beginBlock(header: Uint8Array): void {
    this.#isLast = header[0] >= 0x80;
    this.#type = header[0] & 0x7f;
    this.#left = (header[1] << 16) | (header[2] << 8) | header[3];
    const isStreamInfo = this.#type === STREAM_INFO && this.#left === STREAM_INFO_BYTES;
    if (this.#type === FORBIDDEN || this.#isFirst !== isStreamInfo) {
      // Damaged, or the first frame already.
      this.leftover = header.slice();
      this.#state = 'done';
    } else if (KEPT_BYTES.has(this.#type) && this.#left > 0) {
      this.#state = 'body';
    } else {
      this.#skip(0);
    }
    this.#isFirst = false;
  }

  #skip(bytes: number): void {
    this.#left -= bytes;
    this.#state = this.#left > 0 ? 'skip' : this.#isLast ? 'done' : 'header';
  }

  /** Gathers `wanted` bytes, then hands them to `use`. Returns how many bytes were taken. */
  #keep(bytes: Uint8Array, wanted: number, use: (kept: Uint8Array) => void): number {
    if (this.#kept.length < wanted) {
      const larger = new Uint8Array(wanted);
      larger.set(this.#kept.subarray(0, this.#keptLength));
      this.#kept = larger;
    }
    const taken = Math.min(wanted - this.#keptLength, bytes.length);
    this.#kept.set(bytes.subarray(0, taken), this.#keptLength);
    this.#keptLength += taken;
    if (this.#keptLength === wanted) {
      this.#keptLength = 0;
      use(this.#kept.subarray(0, wanted));
    }
    return taken;
  }
}

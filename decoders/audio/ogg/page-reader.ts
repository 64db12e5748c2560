import { pageCrc } from './crc.ts';

/** A page of an Ogg stream (RFC 3533, section 6). Arrays are views that hold until the next page: copy what must last. */
export interface OggPage {
  readonly serial: number;
  readonly sequence: number;
  /** Position at the end of the last packet that ends on the page; null when none ends, or the page is damaged. */
  readonly granule: number | null;
  /** Begins with the rest of a packet of the page before. */
  readonly continued: boolean;
  /** First page of its logical stream. */
  readonly first: boolean;
  /** Last page of its logical stream. */
  readonly last: boolean;
  /** Lengths of the segments; a packet ends with each that is below 255. */
  readonly lacing: Uint8Array;
  readonly body: Uint8Array;
  /** False when the CRC does not hold: something in the page is wrong, most of it is likely right. */
  readonly intact: boolean;
}

const HEADER_BYTES = 27;
const LARGEST_PAGE = HEADER_BYTES + 255 + 255 * 255;
const CAPTURE = [0x4f, 0x67, 0x67, 0x53];

/** CRCs of what turned out to be no page may cost this much work, so that hostile bytes cannot cost hours. */
const WASTED_CRC_BYTES = { least: 2 ** 22, perByte: 8 };

/**
 * Finds the pages in the bytes of an Ogg file, in pieces of any size; memory for two pages. What belongs to no page is
 * passed over. A page whose CRC fails is given out as not `intact` where the next page (or the end) follows right behind
 * it: then its lengths are right, and a codec loses less by a wrong byte than by the whole page.
 */
export class OggPageReader {
  readonly #bytes = new Uint8Array(2 * LARGEST_PAGE);
  #from = 0;
  #to = 0;
  #ended = false;
  /** Bytes read before `#from`. */
  #passed = 0;
  #wasted = 0;

  push(bytes: Uint8Array, onPage: (page: OggPage) => void): void {
    for (let at = 0; at < bytes.length; ) {
      if (this.#from > 0) {
        this.#bytes.copyWithin(0, this.#from, this.#to);
        this.#to -= this.#from;
        this.#from = 0;
      }
      const taken = Math.min(this.#bytes.length - this.#to, bytes.length - at);
      this.#bytes.set(bytes.subarray(at, at + taken), this.#to);
      this.#to += taken;
      at += taken;
      this.#findPages(onPage);
    }
  }

  end(onPage: (page: OggPage) => void): void {
    this.#ended = true;
    this.#findPages(onPage);
  }

  #findPages(onPage: (page: OggPage) => void): void {
    for (;;) {
      this.#passOver(this.#toCapture(this.#from) - this.#from);
      const held = this.#to - this.#from;
      if (held < HEADER_BYTES) return;
      const segments = this.#bytes[this.#from + 26];
      if (held < HEADER_BYTES + segments) return;
      let size = HEADER_BYTES + segments;
      for (let i = 0; i < segments; i++) size += this.#bytes[this.#from + HEADER_BYTES + i];
      if (held < size) {
        if (!this.#ended) return;
        const isCut = this.#toCapture(this.#from + CAPTURE.length) === this.#to;
        if (isCut) onPage(this.#cutPage(segments, held));
        this.#passOver(isCut ? held : CAPTURE.length);
        continue;
      }
      const verdict = this.#verdict(size, held);
      if (verdict === 'unknown') return;
      if (verdict === 'no page') {
        this.#passOver(CAPTURE.length);
      } else {
        onPage(this.#page(segments, size, verdict === 'intact'));
        this.#passOver(size);
      }
    }
  }

  #passOver(bytes: number): void {
    this.#from += bytes;
    this.#passed += bytes;
  }

  /** Where, from `from` on, the next capture pattern with version 0 stands, or what may become one. */
  #toCapture(from: number): number {
    let at = from;
    while (at < this.#to && !this.#mayBegin(at)) at++;
    return at;
  }

  #mayBegin(at: number): boolean {
    for (let i = 0; i < CAPTURE.length && at + i < this.#to; i++) if (this.#bytes[at + i] !== CAPTURE[i]) return false;
    return at + 4 >= this.#to || this.#bytes[at + 4] === 0;
  }

  #verdict(size: number, held: number): 'intact' | 'damaged' | 'no page' | 'unknown' {
    const canCheck = this.#wasted < WASTED_CRC_BYTES.least + WASTED_CRC_BYTES.perByte * this.#passed;
    if (canCheck) {
      const stated = uint32(this.#bytes, this.#from + 22);
      if (pageCrc(this.#bytes, this.#from, this.#from + size) === stated) return 'intact';
    }
    if (held < size + CAPTURE.length && !this.#ended) return 'unknown';
    const isFollowed =
      held === size || (held >= size + 4 && CAPTURE.every((x, i) => this.#bytes[this.#from + size + i] === x));
    if (isFollowed) return 'damaged';
    if (canCheck) this.#wasted += size;
    return 'no page';
  }

  #page(segments: number, size: number, intact: boolean): OggPage {
    const at = this.#from;
    const lacingEnd = at + HEADER_BYTES + segments;
    const flags = this.#bytes[at + 5];
    return {
      serial: uint32(this.#bytes, at + 14),
      sequence: uint32(this.#bytes, at + 18),
      granule: intact ? granuleAt(this.#bytes, at + 6) : null,
      continued: (flags & 1) !== 0,
      first: (flags & 2) !== 0,
      last: (flags & 4) !== 0,
      lacing: this.#bytes.subarray(at + HEADER_BYTES, lacingEnd),
      body: this.#bytes.subarray(lacingEnd, at + size),
      intact,
    };
  }

  /** The page in which the input ends, with the segments that are whole. */
  #cutPage(segments: number, held: number): OggPage {
    let whole = 0;
    let size = HEADER_BYTES + segments;
    while (size + this.#bytes[this.#from + HEADER_BYTES + whole] <= held) {
      size += this.#bytes[this.#from + HEADER_BYTES + whole];
      whole++;
    }
    const page = this.#page(segments, size, false);
    return { ...page, last: false, lacing: page.lacing.subarray(0, whole) };
  }
}

function uint32(bytes: Uint8Array, at: number): number {
  return (bytes[at] | (bytes[at + 1] << 8) | (bytes[at + 2] << 16) | (bytes[at + 3] << 24)) >>> 0;
}

/** A signed number of 64 bits; null for -1, "no packet ends here", and for what counts no samples. */
function granuleAt(bytes: Uint8Array, at: number): number | null {
  const high = uint32(bytes, at + 4);
  const granule = high * 2 ** 32 + uint32(bytes, at);
  return high >= 2 ** 20 ? null : granule;
}

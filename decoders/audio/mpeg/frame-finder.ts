import {
  isSameForm,
  LARGEST_MPEG_FRAME,
  MPEG_HEADER_BYTES,
  type MpegFrameHeader,
  parseMpegHeader,
} from './frame-header.ts';

/** So many headers of one form, each where the one before says, make a stream: chance does that in 1 of 1e13 places. */
const FIRST_HEADERS = 4;
/** Behind damage the form is known, and two are enough. */
const NEXT_HEADERS = 2;

/** So many bytes behind the last frame tell what they are. */
const TAIL_BYTES = 12;

const BUFFER_BYTES = 16 * LARGEST_MPEG_FRAME;

export interface FoundFrame {
  readonly header: MpegFrameHeader;
  /** A view that holds until the next frame. */
  readonly frame: Uint8Array;
  /** Bytes before it, since the last frame, that belong to none. */
  readonly skipped: number;
  /** The first of them. */
  readonly skippedHead: Uint8Array;
}

/**
 * Finds the frames in the bytes of a stream of MPEG audio, in pieces of any size; memory for a few frames. The first few
 * consistent headers say which form the frames have; what does not fit is passed over, byte by byte.
 */
export class MpegFrameFinder {
  readonly #bytes = new Uint8Array(BUFFER_BYTES);
  #from = 0;
  #to = 0;
  #ended = false;
  #form: MpegFrameHeader | null = null;
  #skipped = 0;
  /** Whether a stream of another form stands behind the last frame. */
  hasOtherForm = false;
  /** Length of the last frame. */
  #lastBytes = 0;
  /** First bytes behind the last frame that belong to no frame. */
  readonly #skippedHead = new Uint8Array(TAIL_BYTES);

  /** The form of the frames; null until a stream was found. */
  get form(): MpegFrameHeader | null {
    return this.#form;
  }

  /** How many bytes stand behind the last frame, and the first of them. */
  get tail(): { readonly bytes: number; readonly first: Uint8Array } {
    const held = this.#bytes.subarray(this.#from, this.#to);
    if (this.#skipped === 0) return { bytes: held.length, first: held.subarray(0, TAIL_BYTES) };
    return { bytes: this.#skipped + held.length, first: this.#skippedHead.subarray(0, this.#skipped) };
  }

  push(bytes: Uint8Array, onFrame: (found: FoundFrame) => void): void {
    for (let at = 0; at < bytes.length; ) {
      if (this.#from > 0) {
        this.#bytes.copyWithin(0, this.#from, this.#to);
        this.#to -= this.#from;
        this.#from = 0;
      }
      const taken = Math.min(BUFFER_BYTES - this.#to, bytes.length - at);
      this.#bytes.set(bytes.subarray(at, at + taken), this.#to);
      this.#to += taken;
      at += taken;
      this.#findFrames(onFrame);
    }
  }

  end(onFrame: (found: FoundFrame) => void): void {
    this.#ended = true;
    this.#findFrames(onFrame);
  }

  #findFrames(onFrame: (found: FoundFrame) => void): void {
    for (;;) {
      const header = this.#next();
      if (header === null) return;
      const frame = this.#bytes.subarray(this.#from, this.#from + header.bytes);
      const skippedHead = this.#skippedHead.subarray(0, this.#skipped);
      onFrame({ header, frame, skipped: this.#skipped, skippedHead });
      this.#from += header.bytes;
      this.#lastBytes = header.bytes;
      this.#skipped = 0;
      this.hasOtherForm = false;
    }
  }

  /** Passes over bytes up to the next frame that is there whole; null when more bytes are needed. */
  #next(): MpegFrameHeader | null {
    while (this.#to - this.#from >= MPEG_HEADER_BYTES) {
      const header = parseMpegHeader(this.#bytes, this.#from);
      const fits = header !== null && (this.#form === null || isSameForm(header, this.#form));
      const verdict = fits ? this.#isStream(header) : 'no';
      const isOther = header !== null && !fits && !this.hasOtherForm;
      const other = isOther ? this.#follows(header, FIRST_HEADERS) : 'no';
      if (verdict === 'unknown' || other === 'unknown') return null;
      this.hasOtherForm ||= other === 'yes';
      if (fits && verdict === 'yes') {
        this.#form ??= header;
        return this.#to - this.#from >= header.bytes ? header : null;
      }
      if (this.#skipped < TAIL_BYTES) this.#skippedHead[this.#skipped] = this.#bytes[this.#from];
      this.#from++;
      this.#skipped++;
    }
    return null;
  }

  #isStream(header: MpegFrameHeader): 'yes' | 'no' | 'unknown' {
    if (this.#form === null) return this.#follows(header, FIRST_HEADERS);
    // In step a header is believed, but for one that states another length: it would lead out of step.
    const isExpected = this.#skipped === 0 && Math.abs(header.bytes - this.#lastBytes) <= 1;
    return isExpected ? 'yes' : this.#follows(header, NEXT_HEADERS);
  }

  /** Whether `count` headers of one form stand in a row, this one included; the end of the file counts as one. */
  #follows(header: MpegFrameHeader, count: number): 'yes' | 'no' | 'unknown' {
    let at = this.#from + header.bytes;
    for (let i = 1; i < count; i++) {
      if (at + MPEG_HEADER_BYTES > this.#to) {
        if (!this.#ended) return 'unknown';
        return at === this.#to && i >= Math.min(count - 1, 2) ? 'yes' : 'no';
      }
      const next = parseMpegHeader(this.#bytes, at);
      if (next === null || !isSameForm(next, header)) return 'no';
      at += next.bytes;
    }
    return 'yes';
  }
}

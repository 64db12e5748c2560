import { BitWriter } from './bit-writer.ts';
import { crc8, crc16 } from './crc.ts';
import { RATES_HZ } from './frame-header.ts';
import { SubframeWriter } from './subframe-writer.ts';

/** Samples of every block but the last. */
export const BLOCK_SIZE = 4096;

const BITS = 16;
const MID_SIDE = 10;

/** Writes frames of one or two channels of 16 bits (RFC 9639 section 9), of `BLOCK_SIZE` samples, the last one fewer. */
export class FrameWriter {
  readonly #sampleRateHz: number;
  readonly #bits = new BitWriter();
  readonly #subframes = Array.from({ length: 4 }, () => new SubframeWriter(BLOCK_SIZE));
  readonly #mid = new Int32Array(BLOCK_SIZE);
  readonly #side = new Int32Array(BLOCK_SIZE);
  #number = 0;

  constructor(sampleRateHz: number) {
    this.#sampleRateHz = sampleRateHz;
  }

  /** The next frame, of the first `count` samples. The bytes hold until the next call. */
  write(channels: readonly Int32Array[], count: number): Uint8Array {
    const bits = this.#bits;
    bits.clear();
    if (channels.length === 1) {
      this.#subframes[0].choose(channels[0], count);
      this.#writeHeader(0, count);
      this.#subframes[0].write(channels[0], count, BITS, bits);
    } else {
      this.#writeStereo(channels[0], channels[1], count);
    }
    bits.align();
    bits.put(crc16(bits.bytes, 0, bits.bytes.length), 16);
    this.#number++;
    return bits.bytes;
  }

  /** As they are, or as their mean and difference, whichever is less. */
  #writeStereo(left: Int32Array, right: Int32Array, count: number): void {
    const mid = this.#mid;
    const side = this.#side;
    for (let i = 0; i < count; i++) {
      mid[i] = (left[i] + right[i]) >> 1;
      side[i] = left[i] - right[i];
    }
    const [forLeft, forRight, forMid, forSide] = this.#subframes;
    const plain = forLeft.choose(left, count) + forRight.choose(right, count);
    if (forMid.choose(mid, count) + forSide.choose(side, count) < plain) {
      this.#writeHeader(MID_SIDE, count);
      forMid.write(mid, count, BITS, this.#bits);
      forSide.write(side, count, BITS + 1, this.#bits);
    } else {
      this.#writeHeader(1, count);
      forLeft.write(left, count, BITS, this.#bits);
      forRight.write(right, count, BITS, this.#bits);
    }
  }

  #writeHeader(channelCode: number, count: number): void {
    const bits = this.#bits;
    const rate = rateCode(this.#sampleRateHz);
    bits.put(0xfff8, 16);
    bits.put(count === BLOCK_SIZE ? 12 : 7, 4);
    bits.put(rate.code, 4);
    bits.put(channelCode, 4);
    bits.put(0b1000, 4);
    writeCodedNumber(this.#number, bits);
    if (count !== BLOCK_SIZE) bits.put(count - 1, 16);
    if (rate.value !== null) bits.put(rate.value, 16);
    bits.put(crc8(bits.bytes, 0, bits.bytes.length), 8);
  }
}

/** How a frame says its rate; code 0 leaves it to STREAMINFO. */
function rateCode(sampleRateHz: number): { readonly code: number; readonly value: number | null } {
  const code = RATES_HZ.indexOf(sampleRateHz);
  if (code > 0) return { code, value: null };
  if (sampleRateHz < 65_536) return { code: 13, value: sampleRateHz };
  const tens = sampleRateHz / 10;
  return Number.isInteger(tens) && tens < 65_536 ? { code: 14, value: tens } : { code: 0, value: null };
}

/** As in UTF-8, drawn out to six bytes. */
function writeCodedNumber(number: number, bits: BitWriter): void {
  if (number < 0x80) {
    bits.put(number, 8);
    return;
  }
  let more = 1;
  while (number >= 2 ** (6 - more + 6 * more)) more++;
  const marks = (0xff00 >> (more + 1)) & 0xff;
  bits.put(marks | (number >>> (6 * more)), 8);
  for (let i = more - 1; i >= 0; i--) bits.put(0x80 | ((number >>> (6 * i)) & 0x3f), 8);
}

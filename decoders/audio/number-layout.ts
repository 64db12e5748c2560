import { BYTES_PER_SAMPLE, type SampleFormat } from './sample-format.ts';

/** How numbers lie in a file whose samples are not little-endian, or signed the other way. */
export interface NumberLayout {
  /** The format that each number has once `NumberConverter` has brought it there. */
  readonly format: SampleFormat;
  readonly isBigEndian: boolean;
  /** Signed where the format is unsigned, or the other way round: the highest bit is turned over. */
  readonly turnsSign: boolean;
}

/** Numbers of any layout -> the bytes of its `format`, in pieces of any size. */
export class NumberConverter {
  readonly #width: number;
  readonly #isPlain: boolean;
  readonly #isBigEndian: boolean;
  readonly #turn: number;
  readonly #number: Uint8Array;
  #filled = 0;
  #out = new Uint8Array(0);

  constructor({ format, isBigEndian, turnsSign }: NumberLayout) {
    this.#width = BYTES_PER_SAMPLE[format];
    this.#isBigEndian = isBigEndian && this.#width > 1;
    this.#turn = turnsSign ? 0x80 : 0;
    this.#isPlain = !this.#isBigEndian && !turnsSign;
    this.#number = new Uint8Array(this.#width);
  }

  /** The bytes hold until the next call; of an unfinished number they wait. */
  convert(bytes: Uint8Array): Uint8Array {
    if (this.#isPlain) return bytes;
    const most = bytes.length + this.#width;
    if (this.#out.length < most) this.#out = new Uint8Array(most);
    const length = this.#isBigEndian ? this.#reverse(bytes) : this.#turnOver(bytes);
    return this.#out.subarray(0, length);
  }

  #reverse(bytes: Uint8Array): number {
    const out = this.#out;
    const number = this.#number;
    const last = this.#width - 1;
    let filled = this.#filled;
    let length = 0;
    for (let i = 0; i < bytes.length; i++) {
      number[filled++] = bytes[i];
      if (filled <= last) continue;
      for (let k = last; k >= 0; k--) out[length++] = number[k];
      out[length - 1] ^= this.#turn;
      filled = 0;
    }
    this.#filled = filled;
    return length;
  }

  #turnOver(bytes: Uint8Array): number {
    const out = this.#out;
    const last = this.#width - 1;
    let filled = this.#filled;
    for (let i = 0; i < bytes.length; i++) {
      out[i] = filled === last ? bytes[i] ^ this.#turn : bytes[i];
      filled = filled === last ? 0 : filled + 1;
    }
    this.#filled = filled;
    return bytes.length;
  }
}

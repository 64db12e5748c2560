import { BYTES_PER_SAMPLE, type SampleFormat } from '../sample-format.ts';

/** How samples lie in a SigMF data file (`core:datatype`, SigMF 1.2.5). */
export interface SigmfDatatype {
  readonly isComplex: boolean;
  /** The format that each number has once `SigmfNumbers` has brought it there. */
  readonly format: SampleFormat;
  readonly isBigEndian: boolean;
  /** Signed where the format is unsigned, or the other way round: the highest bit is turned over. */
  readonly turnsSign: boolean;
}

const FORMATS: Readonly<Record<string, { readonly format: SampleFormat; readonly turnsSign: boolean }>> = {
  u8: { format: 'pcm8', turnsSign: false },
  i8: { format: 'pcm8', turnsSign: true },
  i16: { format: 'pcm16', turnsSign: false },
  u16: { format: 'pcm16', turnsSign: true },
  i32: { format: 'pcm32', turnsSign: false },
  u32: { format: 'pcm32', turnsSign: true },
  f32: { format: 'float32', turnsSign: false },
  f64: { format: 'float64', turnsSign: false },
};

/** Null for a text that names no type. */
export function parseSigmfDatatype(name: string): SigmfDatatype | null {
  const parts = /^([cr])(f32|f64|i32|i16|u32|u16|i8|u8)(?:_(le|be))?$/.exec(name);
  if (parts === null) return null;
  const [, kind, number, order] = parts;
  // A byte has no order; of longer numbers little-endian is usual where none is named.
  return { isComplex: kind === 'c', ...FORMATS[number], isBigEndian: order === 'be' };
}

/** Numbers of any SigMF type -> the bytes of its `format`, in pieces of any size. */
export class SigmfNumbers {
  readonly #width: number;
  readonly #isPlain: boolean;
  readonly #isBigEndian: boolean;
  readonly #turn: number;
  readonly #number: Uint8Array;
  #filled = 0;
  #out = new Uint8Array(0);

  constructor({ format, isBigEndian, turnsSign }: SigmfDatatype) {
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

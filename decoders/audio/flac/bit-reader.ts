/**
 * Reads a stretch of bytes bit by bit, most significant bit first, as FLAC lays its frames out.
 *
 * Past the end it reads zeros and never throws: ask `isPast` before believing what was read.
 */
export class BitReader {
  #bytes: Uint8Array = new Uint8Array(0);
  #view: DataView = new DataView(this.#bytes.buffer);
  #end = 0;
  /** Next bit, counted from the first bit of the bytes. */
  #bit = 0;

  /** Goes to byte `from` of `bytes`; `to` is the end. */
  open(bytes: Uint8Array, from: number, to: number): void {
    if (bytes !== this.#bytes) {
      this.#bytes = bytes;
      this.#view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
    }
    this.#end = to;
    this.#bit = 8 * from;
  }

  /** Whether more bits were read than there are. */
  get isPast(): boolean {
    return this.#bit > 8 * this.#end;
  }

  /** Goes on to the next whole byte. Returns its index. */
  align(): number {
    const byte = (this.#bit + 7) >>> 3;
    this.#bit = 8 * byte;
    return byte;
  }

  /** 0 to 32 bits as an unsigned number. */
  unsigned(bits: number): number {
    if (bits > 24) return this.unsigned(bits - 16) * 65536 + this.unsigned(16);
    if (bits === 0) return 0;
    const value = (this.#word(this.#bit >>> 3) << (this.#bit & 7)) >>> (32 - bits);
    this.#bit += bits;
    return value;
  }

  /** 0 to 33 bits as a number in two's complement. */
  signed(bits: number): number {
    if (bits === 0) return 0;
    const isNegative = this.unsigned(1) === 1;
    const rest = this.unsigned(bits - 1);
    return isNegative ? rest - 2 ** (bits - 1) : rest;
  }

  /** Zeros before the next one, the one taken too. */
  unary(): number {
    let zeros = 0;
    while (!this.isPast) {
      const window = this.#word(this.#bit >>> 3) << (this.#bit & 7);
      if (window !== 0) {
        const more = Math.clz32(window);
        this.#bit += more + 1;
        return zeros + more;
      }
      const seen = 32 - (this.#bit & 7);
      zeros += seen;
      this.#bit += seen;
    }
    return zeros;
  }

  /**
   * Rice codes of one partition into `out` from `from` to before `to`: quotient in unary, `parameter` bits of remainder,
   * folded so that 0, -1, 1, -2, 2 are 0, 1, 2, 3, 4 (RFC 9639 section 9.2.7).
   */
  rice(parameter: number, out: Int32Array, from: number, to: number): void {
    const view = this.#view;
    const lastWord = this.#end - 4;
    const shift = 31 - parameter;
    let bit = this.#bit;
    for (let i = from; i < to; i++) {
      const byte = bit >>> 3;
      if (byte <= lastWord) {
        const window = view.getInt32(byte) << (bit & 7);
        const quotient = Math.clz32(window);
        const length = quotient + 1 + parameter;
        // The window holds at least 25 bits.
        if (length <= 25) {
          const folded = (quotient << parameter) | (((window << quotient) & 0x7fffffff) >>> shift);
          out[i] = (folded >>> 1) ^ -(folded & 1);
          bit += length;
          continue;
        }
      }
      this.#bit = bit;
      const quotient = this.unary();
      const folded = (quotient << parameter) | this.unsigned(parameter);
      out[i] = (folded >>> 1) ^ -(folded & 1);
      bit = this.#bit;
      if (this.isPast) return;
    }
    this.#bit = bit;
  }

  /** The four bytes from `at` on as an int32. */
  #word(at: number): number {
    if (at + 4 <= this.#end) return this.#view.getInt32(at);
    let word = 0;
    for (let i = at; i < at + 4; i++) word = (word << 8) | (i < this.#end ? this.#bytes[i] : 0);
    return word;
  }
}

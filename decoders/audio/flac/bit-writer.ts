/** Writes bits, most significant first: what `BitReader` reads. */
export class BitWriter {
  #bytes = new Uint8Array(4096);
  #length = 0;
  /** Bits that do not fill a byte yet, at the low end. */
  #held = 0;
  #heldBits = 0;

  /** The whole bytes written so far; valid until more is written. */
  get bytes(): Uint8Array {
    return this.#bytes.subarray(0, this.#length);
  }

  clear(): void {
    this.#length = 0;
    this.#held = 0;
    this.#heldBits = 0;
  }

  /** The low `bits` bits, 0 to 32, of an integer; a negative one in two's complement. */
  put(value: number, bits: number): void {
    if (bits > 16) {
      this.put(value >> 16, bits - 16);
      this.put(value & 0xffff, 16);
      return;
    }
    this.#held = (this.#held << bits) | (value & ((1 << bits) - 1));
    this.#heldBits += bits;
    while (this.#heldBits >= 8) {
      this.#heldBits -= 8;
      this.#putByte(this.#held >>> this.#heldBits);
    }
    this.#held &= (1 << this.#heldBits) - 1;
  }

  /** So many zeros and a one. */
  unary(zeros: number): void {
    for (let left = zeros; left > 0; left -= 16) this.put(0, Math.min(left, 16));
    this.put(1, 1);
  }

  /** Rice codes of `values` from `from` to before `to`: see `BitReader.rice`. */
  rice(parameter: number, values: Int32Array, from: number, to: number): void {
    for (let i = from; i < to; i++) {
      const folded = ((values[i] << 1) ^ (values[i] >> 31)) >>> 0;
      const quotient = folded >>> parameter;
      // Quotient, one and remainder in one go: what nearly all codes are.
      if (quotient + 1 + parameter <= 16) {
        this.put((1 << parameter) | (folded & ((1 << parameter) - 1)), quotient + 1 + parameter);
      } else {
        this.unary(quotient);
        this.put(folded, parameter);
      }
    }
  }

  /** Zeros up to the next whole byte. */
  align(): void {
    if (this.#heldBits > 0) this.put(0, 8 - this.#heldBits);
  }

  #putByte(byte: number): void {
    if (this.#length === this.#bytes.length) {
      const grown = new Uint8Array(2 * this.#length);
      grown.set(this.#bytes);
      this.#bytes = grown;
    }
    this.#bytes[this.#length++] = byte;
  }
}

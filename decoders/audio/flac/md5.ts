const BLOCK_BYTES = 64;
/** Rotations of the four rounds, and the constants: the integer part of 2^32 |sin i| (RFC 1321 section 3.4). */
const SHIFTS = [
  [7, 12, 17, 22],
  [5, 9, 14, 20],
  [4, 11, 16, 23],
  [6, 10, 15, 21],
];
const SINES = Int32Array.from({ length: 64 }, (_, i) => Math.floor(2 ** 32 * Math.abs(Math.sin(i + 1))));

/** The MD5 message digest (RFC 1321) of bytes as they come: FLAC states that of its samples. */
export class Md5 {
  readonly #state = Int32Array.of(0x67452301, 0xefcdab89, 0x98badcfe, 0x10325476);
  readonly #block = new Uint8Array(BLOCK_BYTES);
  readonly #words = new DataView(this.#block.buffer);
  #filled = 0;
  #length = 0;

  add(bytes: Uint8Array): void {
    this.#length += bytes.length;
    for (let at = 0; at < bytes.length; ) {
      const taken = Math.min(BLOCK_BYTES - this.#filled, bytes.length - at);
      this.#block.set(bytes.subarray(at, at + taken), this.#filled);
      this.#filled += taken;
      at += taken;
      if (this.#filled === BLOCK_BYTES) this.#mix();
    }
  }

  /** Of all bytes, 16 of its own; nothing can be added any more. */
  end(): Uint8Array {
    const bits = 8 * this.#length;
    this.#block[this.#filled] = 0x80;
    this.#block.fill(0, this.#filled + 1);
    if (this.#filled >= BLOCK_BYTES - 8) {
      this.#mix();
      this.#block.fill(0);
    }
    this.#words.setUint32(56, bits % 2 ** 32, true);
    this.#words.setUint32(60, Math.floor(bits / 2 ** 32), true);
    this.#mix();
    const digest = new Uint8Array(16);
    const view = new DataView(digest.buffer);
    for (let i = 0; i < 4; i++) view.setInt32(4 * i, this.#state[i], true);
    return digest;
  }

  #mix(): void {
    let [a, b, c, d] = this.#state;
    for (let i = 0; i < 64; i++) {
      const round = i >> 4;
      let f = 0;
      let word = i;
      if (round === 0) {
        f = (b & c) | (~b & d);
      } else if (round === 1) {
        f = (d & b) | (~d & c);
        word = 5 * i + 1;
      } else if (round === 2) {
        f = b ^ c ^ d;
        word = 3 * i + 5;
      } else {
        f = c ^ (b | ~d);
        word = 7 * i;
      }
      const sum = (a + f + SINES[i] + this.#words.getInt32(4 * (word & 15), true)) | 0;
      const shift = SHIFTS[round][i & 3];
      a = d;
      d = c;
      c = b;
      b = (b + ((sum << shift) | (sum >>> (32 - shift)))) | 0;
    }
    this.#state[0] += a;
    this.#state[1] += b;
    this.#state[2] += c;
    this.#state[3] += d;
    this.#filled = 0;
  }
}

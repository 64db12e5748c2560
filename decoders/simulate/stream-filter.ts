/**
 * A filter of symmetric real taps over a stream that comes in pieces of one size, each output sample `decimation` input samples
 * after the last one. It delays by half of its length, (taps - 1) / 2 input samples.
 */
export class StreamFilter {
  readonly #taps: Float64Array;
  readonly #decimation: number;
  /** The inputs that the next outputs still need, then the piece. */
  readonly #held: Float32Array;
  /** Where the next piece is to be written before `filter` is called. */
  readonly input: Float32Array;

  /** @param pieceLength of the inputs, a multiple of `decimation`. */
  constructor(taps: Float64Array, pieceLength: number, decimation = 1) {
    // Zeros for the oldest inputs, for the loop below.
    this.#taps = new Float64Array(4 * Math.ceil(taps.length / 4));
    this.#taps.set(taps, this.#taps.length - taps.length);
    this.#decimation = decimation;
    this.#held = new Float32Array(this.#taps.length - 1 + pieceLength);
    this.input = this.#held.subarray(this.#taps.length - 1);
  }

  /** Filters the piece in `input` into `out`, which is as long as the piece over the decimation. */
  filter(out: Float32Array): void {
    convolve(this.#held, this.#taps, this.#decimation, out);
    this.#held.copyWithin(0, this.input.length);
  }
}

/** Four sums at once: a single one would wait for itself. `taps` are a multiple of four. */
function convolve(x: Float32Array, taps: Float64Array, decimation: number, out: Float32Array): void {
  for (let n = 0, at = 0; n < out.length; n++, at += decimation) {
    let a = 0;
    let b = 0;
    let c = 0;
    let d = 0;
    for (let k = 0; k < taps.length; k += 4) {
      a += taps[k] * x[at + k];
      b += taps[k + 1] * x[at + k + 1];
      c += taps[k + 2] * x[at + k + 2];
      d += taps[k + 3] * x[at + k + 3];
    }
    out[n] = a + b + (c + d);
  }
}

/** The last stretch of a complex band, addressed by the number of its samples since the beginning. */
export class BandHistory {
  readonly sampleRateHz: number;
  readonly #re: Float32Array;
  readonly #im: Float32Array;
  readonly #first: number;
  #end: number;

  /** @param capacity samples kept; `first` is the number of the first that comes. */
  constructor(sampleRateHz: number, capacity: number, first = 0) {
    this.sampleRateHz = sampleRateHz;
    this.#first = first;
    this.#end = first;
    this.#re = new Float32Array(capacity);
    this.#im = new Float32Array(capacity);
  }

  /** Number of the next sample. */
  get end(): number {
    return this.#end;
  }

  /** Number of the first sample that is still held. */
  get begin(): number {
    return Math.max(this.#first, this.#end - this.#re.length);
  }

  append(re: Float32Array, im: Float32Array): void {
    for (let done = 0; done < re.length; ) {
      const at = this.#end % this.#re.length;
      const count = Math.min(re.length - done, this.#re.length - at);
      this.#re.set(re.subarray(done, done + count), at);
      this.#im.set(im.subarray(done, done + count), at);
      this.#end += count;
      done += count;
    }
  }

  /** Copies the samples from `from` on into `re` and `im`; where none are held, silence. */
  copy(from: number, re: Float32Array, im: Float32Array): void {
    const first = Math.max(from, this.begin);
    const last = Math.min(from + re.length, this.#end);
    re.fill(0);
    im.fill(0);
    for (let at = first; at < last; ) {
      const place = at % this.#re.length;
      const count = Math.min(last - at, this.#re.length - place);
      re.set(this.#re.subarray(place, place + count), at - from);
      im.set(this.#im.subarray(place, place + count), at - from);
      at += count;
    }
  }
}

/** What 16-bit samples are multiples of: they are kept as they were, in half the room. */
const SHORT_STEP = 1 / 32_768;

/** The last stretch of a complex band, addressed by the number of its samples since the beginning. */
export class BandHistory {
  readonly sampleRateHz: number;
  readonly #capacity: number;
  readonly #first: number;
  #end: number;
  #re: Int16Array | Float32Array;
  #im: Int16Array | Float32Array;

  /** @param capacity samples kept; `first` is the number of the first that comes. */
  constructor(sampleRateHz: number, capacity: number, first = 0) {
    this.sampleRateHz = sampleRateHz;
    this.#capacity = capacity;
    this.#first = first;
    this.#end = first;
    this.#re = new Int16Array(capacity);
    this.#im = new Int16Array(capacity);
  }

  /** Number of the next sample. */
  get end(): number {
    return this.#end;
  }

  /** Number of the first sample that is still held. */
  get begin(): number {
    return Math.max(this.#first, this.#end - this.#capacity);
  }

  append(re: Float32Array, im: Float32Array): void {
    if (this.#re instanceof Int16Array && !(areShort(re) && areShort(im))) {
      this.#re = widened(this.#re);
      this.#im = widened(this.#im);
    }
    for (let done = 0; done < re.length; ) {
      const at = this.#end % this.#capacity;
      const count = Math.min(re.length - done, this.#capacity - at);
      put(re, done, count, this.#re, at);
      put(im, done, count, this.#im, at);
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
      const place = at % this.#capacity;
      const count = Math.min(last - at, this.#capacity - place);
      take(this.#re, place, count, re, at - from);
      take(this.#im, place, count, im, at - from);
      at += count;
    }
  }
}

function areShort(samples: Float32Array): boolean {
  for (let i = 0; i < samples.length; i++) {
    const value = samples[i] / SHORT_STEP;
    if (value !== Math.trunc(value) || value < -32_768 || value > 32_767) return false;
  }
  return true;
}

function widened(from: Int16Array | Float32Array): Float32Array {
  const samples = new Float32Array(from.length);
  take(from, 0, from.length, samples, 0);
  return samples;
}

function put(from: Float32Array, begin: number, count: number, to: Int16Array | Float32Array, at: number): void {
  if (to instanceof Float32Array) to.set(from.subarray(begin, begin + count), at);
  else for (let i = 0; i < count; i++) to[at + i] = from[begin + i] / SHORT_STEP;
}

function take(from: Int16Array | Float32Array, begin: number, count: number, to: Float32Array, at: number): void {
  if (from instanceof Float32Array) to.set(from.subarray(begin, begin + count), at);
  else for (let i = 0; i < count; i++) to[at + i] = from[begin + i] * SHORT_STEP;
}

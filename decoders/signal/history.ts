/** The last stretch of a stream of samples, addressed by their number since the stream's start. */
export class SampleHistory {
  private readonly ring: Float32Array;
  private sliced = new Float32Array(0);
  private written = 0;

  /** @param capacity samples kept. */
  constructor(capacity: number) {
    this.ring = new Float32Array(capacity);
  }

  /** Number of samples ever appended. */
  get end(): number {
    return this.written;
  }

  append(samples: Float32Array): void {
    const { ring } = this;
    for (let done = 0; done < samples.length; ) {
      const at = this.written % ring.length;
      const piece = samples.subarray(done, done + ring.length - at);
      ring.set(piece, at);
      this.written += piece.length;
      done += piece.length;
    }
  }

  /**
   * The samples `from..to-1` in one piece, as far as they are still held, and the number of the first. The piece holds until
   * the next is asked for: fresh memory for each burst would cost more than its copying.
   */
  slice(from: number, to: number): { readonly samples: Float32Array; readonly first: number } {
    const first = Math.max(0, Math.ceil(from), this.written - this.ring.length);
    const last = Math.max(first, Math.min(this.written, Math.floor(to)));
    if (this.sliced.length < last - first) this.sliced = new Float32Array(last - first);
    const samples = this.sliced.subarray(0, last - first);
    const head = this.ring.subarray(first % this.ring.length, (first % this.ring.length) + samples.length);
    samples.set(head);
    samples.set(this.ring.subarray(0, samples.length - head.length), head.length);
    return { samples, first };
  }
}

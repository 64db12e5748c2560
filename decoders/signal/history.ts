/** The last stretch of a stream of samples, addressed by their number since the stream's start. */
export class SampleHistory {
  private readonly ring: Float32Array;
  private written = 0;

  /** @param capacity samples kept; a power of two. */
  constructor(capacity: number) {
    this.ring = new Float32Array(capacity);
  }

  /** Number of samples ever appended. */
  get end(): number {
    return this.written;
  }

  append(samples: Float32Array): void {
    const { ring } = this;
    const mask = ring.length - 1;
    for (let i = 0; i < samples.length; i++) ring[(this.written + i) & mask] = samples[i];
    this.written += samples.length;
  }

  /** A copy of the samples `from..to-1`, as far as they are still held, and the number of the first. */
  slice(from: number, to: number): { readonly samples: Float32Array; readonly first: number } {
    const first = Math.max(0, Math.ceil(from), this.written - this.ring.length);
    const last = Math.max(first, Math.min(this.written, Math.floor(to)));
    const samples = new Float32Array(last - first);
    const mask = this.ring.length - 1;
    for (let i = 0; i < samples.length; i++) samples[i] = this.ring[(first + i) & mask];
    return { samples, first };
  }
}

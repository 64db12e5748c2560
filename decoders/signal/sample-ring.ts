/**
 * The last `size` samples of a stream, each kept twice, `size` apart, so that any stretch of them lies in one piece.
 * Samples before the first are zero.
 */
export interface SampleRing {
  readonly samples: Float32Array;
  readonly size: number;
  /** Samples appended since the beginning. */
  written: number;
}

export function createSampleRing(size: number): SampleRing {
  return { samples: new Float32Array(2 * size), size, written: 0 };
}

/** Appends at most `size` samples. */
export function append(ring: SampleRing, block: Float32Array): void {
  const at = ring.written % ring.size;
  ring.samples.set(block, at);
  const over = Math.max(0, at + block.length - ring.size);
  ring.samples.set(block.subarray(0, block.length - over), at + ring.size);
  ring.samples.copyWithin(0, ring.size, ring.size + over);
  ring.written += block.length;
}

/** Where sample `index` of the stream lies in `ring.samples`; `size` samples from there on are in order. */
export function placeOf(ring: SampleRing, index: number): number {
  return ((index % ring.size) + ring.size) % ring.size;
}

import type { CombinedFrame, combine } from '../../decoders/frames/combine.ts';

/** Reads a frame from its copies somewhere: in a thread, or in tests right here. */
export interface Combiner {
  combine(...input: Parameters<typeof combine>): Promise<CombinedFrame | null>;
  close(): Promise<void>;
}

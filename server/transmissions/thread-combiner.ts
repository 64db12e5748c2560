import { Piscina } from 'piscina';
import type { CombinedFrame, combine } from '../../decoders/frames/combine.ts';
import type { Combiner } from './combiner.ts';

const IDLE_MILLISECONDS = 10_000;

/** Combines in a thread of its own, so that neither requests nor recordings that are being decoded make it wait. */
export function openThreadCombiner(workerUrl: URL = new URL('./combine-worker.js', import.meta.url)): Combiner {
  const pool = new Piscina<Parameters<typeof combine>, CombinedFrame | null>({
    filename: workerUrl.href,
    minThreads: 0,
    maxThreads: 1,
    idleTimeout: IDLE_MILLISECONDS,
  });
  return {
    combine: (...input) => pool.run(input),
    close: () => pool.destroy(),
  };
}

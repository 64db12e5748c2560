import { availableParallelism } from 'node:os';
import type { DecodeRunner } from './decode-runner.ts';
import { openThreadPool, type ThreadPoolOptions } from './thread-pool.ts';

/** The server's threads for recordings, with bounded time and memory. One core is left to the server itself. */
export function openDecodeThreads(options: Partial<ThreadPoolOptions> = {}): DecodeRunner {
  return openThreadPool({
    workerUrl: new URL('./decode-worker.js', import.meta.url),
    threads: Math.max(1, availableParallelism() - 1),
    secondsMax: 1800,
    megabytesMax: 512,
    ...options,
  });
}

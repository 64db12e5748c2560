import { availableParallelism } from 'node:os';
import { MessageChannel } from 'node:worker_threads';
import { Piscina } from 'piscina';
import { FiveunitError } from '../../decoders/errors.ts';
import type { DecodeOutcome, DecodeProgress, DecodeRunner } from './decode-runner.ts';

export interface ThreadPoolOptions {
  /** Built JavaScript whose default export is the thread's work. */
  readonly workerUrl?: URL;
  readonly threads?: number;
  /** Longest that one recording may take. */
  readonly secondsMax?: number;
  /** Most memory that a thread's objects may take; arrays of samples are bounded by the decoder itself. */
  readonly megabytesMax?: number;
}

const IDLE_MILLISECONDS = 10_000;

/** Decodes in threads, one recording a thread, with bounded time and memory. One core is left to the server. */
export function openThreadPool({
  workerUrl = new URL('./decode-worker.js', import.meta.url),
  threads = Math.max(1, availableParallelism() - 1),
  secondsMax = 1800,
  megabytesMax = 512,
}: ThreadPoolOptions = {}): DecodeRunner {
  const pool = new Piscina<unknown, DecodeOutcome>({
    filename: workerUrl.href,
    minThreads: 0,
    maxThreads: threads,
    idleTimeout: IDLE_MILLISECONDS,
    resourceLimits: { maxOldGenerationSizeMb: megabytesMax },
  });
  return {
    width: threads,
    async run(task, { signal, onProgress }) {
      const { port1, port2 } = new MessageChannel();
      port1.on('message', (progress: DecodeProgress) => onProgress(progress));
      const timeout = AbortSignal.timeout(secondsMax * 1000);
      try {
        return await pool.run(
          { task, port: port2 },
          { transferList: [port2], signal: AbortSignal.any([signal, timeout]) },
        );
      } catch (error) {
        signal.throwIfAborted();
        throw explain(error, timeout.aborted, secondsMax, megabytesMax);
      } finally {
        port1.close();
      }
    },
    async close() {
      await pool.destroy();
    },
  };
}

function explain(error: unknown, late: boolean, secondsMax: number, megabytesMax: number): unknown {
  if (late) {
    return new FiveunitError(
      'decoding-too-long',
      `decoding took longer than ${secondsMax} s and was stopped: cut the recording into shorter ones`,
      { cause: error },
    );
  }
  if (error instanceof Error && 'code' in error && error.code === 'ERR_WORKER_OUT_OF_MEMORY') {
    return new FiveunitError(
      'decoding-too-much-memory',
      `decoding needed more than ${megabytesMax} MB and was stopped: cut the recording into shorter ones`,
      { cause: error },
    );
  }
  return error;
}

import { MessageChannel } from 'node:worker_threads';
import { Piscina } from 'piscina';
import { FiveunitError } from '../../decoders/errors.ts';
import type { TaskRunner } from './task-runner.ts';

export interface ThreadPoolOptions {
  /** Built JavaScript whose default export is the thread's work, given the task and a port for its progress. */
  readonly workerUrl: URL;
  readonly threads: number;
  /** Longest that one recording may take; for ever when left out. */
  readonly secondsMax?: number;
  /** Most memory that a thread's objects may take, else what Node gives it; arrays of samples are bounded by the decoder itself. */
  readonly megabytesMax?: number;
}

const IDLE_MILLISECONDS = 10_000;

/** Decodes in threads, one recording a thread. */
export function openThreadPool<Task, Progress, Outcome>({
  workerUrl,
  threads,
  secondsMax,
  megabytesMax,
}: ThreadPoolOptions): TaskRunner<Task, Progress, Outcome> {
  const pool = new Piscina<unknown, Outcome>({
    filename: workerUrl.href,
    minThreads: 0,
    maxThreads: threads,
    idleTimeout: IDLE_MILLISECONDS,
    ...(megabytesMax === undefined ? {} : { resourceLimits: { maxOldGenerationSizeMb: megabytesMax } }),
  });
  return {
    width: threads,
    async run(task, { signal, onProgress }) {
      const { port1, port2 } = new MessageChannel();
      port1.on('message', (progress: Progress) => onProgress(progress));
      const timeout = secondsMax === undefined ? null : AbortSignal.timeout(secondsMax * 1000);
      try {
        return await pool.run(
          { task, port: port2 },
          { transferList: [port2], signal: AbortSignal.any(timeout === null ? [signal] : [signal, timeout]) },
        );
      } catch (error) {
        signal.throwIfAborted();
        if (timeout?.aborted) throw tooLong(error, `${secondsMax} s`);
        if (isOutOfMemory(error)) throw tooMuch(error, megabytesMax === undefined ? 'there is' : `${megabytesMax} MB`);
        throw error;
      } finally {
        port1.close();
      }
    },
    async close() {
      await pool.destroy();
    },
  };
}

function tooLong(cause: unknown, most: string): FiveunitError {
  return new FiveunitError(
    'decoding-too-long',
    `decoding took longer than ${most} and was stopped: cut the recording into shorter ones`,
    { cause },
  );
}

function tooMuch(cause: unknown, most: string): FiveunitError {
  return new FiveunitError(
    'decoding-too-much-memory',
    `decoding needed more memory than ${most} and was stopped: cut the recording into shorter ones`,
    { cause },
  );
}

function isOutOfMemory(error: unknown): boolean {
  return error instanceof Error && 'code' in error && error.code === 'ERR_WORKER_OUT_OF_MEMORY';
}

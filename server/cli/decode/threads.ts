import { FiveunitError } from '../../../decoders/errors.ts';
import type { TaskRunner } from '../../jobs/task-runner.ts';
import { openThreadPool } from '../../jobs/thread-pool.ts';
import type { Io } from '../io.ts';
import { decodingHere, type FileDecoding, type Turn } from './decoding.ts';
import type { FileOutcome, FileProgress, FileTask } from './file.ts';

export type FileRunner = TaskRunner<FileTask, FileProgress, FileOutcome>;

/** Enough that a long file keeps no thread waiting, few enough that the results behind it are no burden. */
const AHEAD_PER_THREAD = 8;

/** Several files at once, each in a thread of its own. */
export function openThreads(io: Io, threads: number): FileDecoding {
  return decodingWith(openThreadPool({ workerUrl: new URL('./file-worker.js', import.meta.url), threads }), io);
}

/** Files go to the runner as soon as they are begun; standard input belongs to this thread, and is read at its turn. */
export function decodingWith(runner: FileRunner, io: Io): FileDecoding {
  const here = decodingHere(io);
  const closed = new AbortController();
  return {
    ahead: AHEAD_PER_THREAD * runner.width,
    begin: (task) => (task.file === '-' ? here.begin(task) : begin(runner, task, closed.signal)),
    async close() {
      closed.abort();
      await runner.close();
    },
  };
}

function begin(runner: FileRunner, task: FileTask, signal: AbortSignal): Turn {
  let latest: FileProgress | null = null;
  let tell: ((progress: FileProgress) => void) | null = null;
  const hear = (progress: FileProgress): void => {
    latest = progress;
    tell?.(progress);
  };
  const outcome = runner.run(task, { signal, onProgress: hear }).catch((error: unknown): FileOutcome => {
    if (!(error instanceof FiveunitError)) throw error;
    return { readable: false, message: `${task.file}: ${error.message}` };
  });
  // A failure is met at the file's turn, which may never come.
  outcome.catch(() => {});
  return (onProgress) => {
    tell = onProgress;
    if (latest !== null) onProgress(latest);
    // Words of progress may come behind the outcome.
    return outcome.finally(() => {
      tell = null;
    });
  };
}

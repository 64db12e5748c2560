export interface RunOptions<Progress> {
  readonly signal: AbortSignal;
  readonly onProgress: (progress: Progress) => void;
}

/** Does tasks somewhere: in threads, or in tests right here. Tasks, progress and outcomes are plain data. */
export interface TaskRunner<Task, Progress, Outcome> {
  /** How many it does at once; the others wait their turn. */
  readonly width: number;
  /** Rejects with the signal's reason when aborted, and with a `FiveunitError` when time or memory ran out. */
  run(task: Task, options: RunOptions<Progress>): Promise<Outcome>;
  close(): Promise<void>;
}

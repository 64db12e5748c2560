import type { Io } from './io.ts';

export interface Progress {
  update(done: number): void;
  stop(): void;
}

const silent: Progress = { update() {}, stop() {} };

/**
 * A bar on standard error, only where a person looks on.
 *
 * @param total null when it is not known.
 */
export async function startProgress(io: Io, label: string, total: number | null): Promise<Progress> {
  return (await loadProgress(io))(label, total);
}

/** What starts such bars at once, for totals that are known later. */
export async function loadProgress(io: Io): Promise<(label: string, total: number | null) => Progress> {
  if (!io.interactive) return () => silent;
  const { default: cliProgress } = await import('cli-progress');
  return (label, total) => {
    if (total === null || total === 0) return silent;
    const bar = new cliProgress.SingleBar({
      format: `${label} [{bar}] {percentage} %`,
      barCompleteChar: '=',
      barIncompleteChar: ' ',
      clearOnComplete: true,
      hideCursor: true,
      stream: io.stderr as NodeJS.WritableStream,
    });
    bar.start(total, 0);
    return { update: (done) => bar.update(done), stop: () => bar.stop() };
  };
}

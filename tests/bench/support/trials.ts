import { fork } from 'node:child_process';
import { availableParallelism } from 'node:os';
import { fileURLToPath } from 'node:url';

/** Set for the processes that a bench starts to share its trials. */
const SHARE = 'FIVEUNIT_BENCH_SHARE';

/** `FIVEUNIT_BENCH_FIRST_SEED` lets a long run go on where another ended, so that their counts add up. */
const FIRST_SEED = Number(process.env.FIVEUNIT_BENCH_FIRST_SEED ?? 0);

export interface Trials<Outcome> {
  /** `import.meta.url` of the bench: each core runs it again for its share of the seeds. */
  readonly url: string;
  readonly count: number;
  /** What one seed gives; plain data. */
  readonly trial: (seed: number) => Outcome | Promise<Outcome>;
  readonly take: (outcome: Outcome) => void;
}

/**
 * Runs the trials of `count` seeds from 0, or from `FIVEUNIT_BENCH_FIRST_SEED`, on all cores and hands over what each gives, in no
 * certain order. An interrupt ends the trials, not the bench: what was done by then counts. Returns how many seeds were done.
 */
export async function runTrials<Outcome>({ url, count, trial, take }: Trials<Outcome>): Promise<number> {
  const { send } = process;
  const share = process.env[SHARE];
  if (send && share !== undefined) {
    const [first, step] = share.split('/').map(Number);
    for (let seed = FIRST_SEED + first; seed < FIRST_SEED + count; seed += step) {
      const outcome = await trial(seed);
      await new Promise((resolve) => send.call(process, outcome, resolve));
    }
    process.exit(0);
  }
  const cores = availableParallelism();
  let done = 0;
  const children = Array.from({ length: cores }, (_, k) =>
    fork(process.argv[1], [fileURLToPath(url)], { env: { ...process.env, [SHARE]: `${k}/${cores}` } }),
  );
  const stop = () => {
    for (const child of children) child.kill();
  };
  process.once('SIGINT', stop).once('SIGTERM', stop);
  await Promise.all(
    children.map(
      (child) =>
        new Promise<void>((resolve) => {
          child.on('message', (outcome) => {
            done++;
            take(outcome as Outcome);
          });
          child.on('exit', () => resolve());
        }),
    ),
  );
  process.off('SIGINT', stop).off('SIGTERM', stop);
  return done;
}

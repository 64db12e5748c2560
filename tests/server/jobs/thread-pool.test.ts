import { describe, expect, onTestFinished, test } from 'vitest';
import type { DecodeOutcome, DecodeProgress, DecodeTask } from '../../../server/jobs/decode-runner.ts';
import { openThreadPool, type ThreadPoolOptions } from '../../../server/jobs/thread-pool.ts';

const task: DecodeTask = { path: '/nowhere', missions: [], startedAt: null, iq: null };
const never = () => new AbortController().signal;
const silent = () => {};

function pool(worker: string, options: Partial<ThreadPoolOptions> = {}) {
  const runner = openThreadPool<DecodeTask, DecodeProgress, DecodeOutcome>({
    workerUrl: new URL(`workers/${worker}.mjs`, import.meta.url),
    threads: 1,
    ...options,
  });
  onTestFinished(() => runner.close());
  return runner;
}

describe('a thread', () => {
  test('gets the task and sends progress and result', async () => {
    const progress: DecodeProgress[] = [];
    const outcome = await pool('steady').run(task, { signal: never(), onProgress: (each) => progress.push(each) });
    expect(outcome).toEqual({ readable: false, failure: { code: 'echo', message: '/nowhere' } });
    expect(progress.map(({ fraction }) => fraction)).toEqual([0.25, 0.75]);
  });

  test('that takes too long is stopped, saying so', async () => {
    const running = pool('endless', { secondsMax: 0.3 }).run(task, { signal: never(), onProgress: silent });
    await expect(running).rejects.toMatchObject({
      code: 'decoding-too-long',
      message: expect.stringContaining('0.3 s'),
    });
  });

  test('that wants too much memory is stopped, saying so, and the next task is done', async () => {
    const runner = pool('greedy', { megabytesMax: 32 });
    for (let time = 0; time < 2; time++) {
      const running = runner.run(task, { signal: never(), onProgress: silent });
      await expect(running).rejects.toMatchObject({ code: 'decoding-too-much-memory' });
    }
  });

  test('is stopped at once when nobody wants its result any more', async () => {
    const abort = new AbortController();
    const reason = new Error('deleted');
    const running = pool('endless').run(task, { signal: abort.signal, onProgress: () => abort.abort(reason) });
    await expect(running).rejects.toBe(reason);
  });

  test('that ends by itself fails its task only', async () => {
    const runner = pool('gone');
    for (let time = 0; time < 2; time++) {
      await expect(runner.run(task, { signal: never(), onProgress: silent })).rejects.toThrow();
    }
  });
});

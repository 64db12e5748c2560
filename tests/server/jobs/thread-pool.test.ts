import { fileURLToPath } from 'node:url';
import { describe, expect, onTestFinished, test } from 'vitest';
import type { DecodeProgress, DecodeTask } from '../../../server/jobs/decode-runner.ts';
import { openThreadPool, type ThreadPoolOptions } from '../../../server/jobs/thread-pool.ts';
import { wrenMission } from '../support/wren.ts';

const task: DecodeTask = { path: '/nowhere', missions: [], startedAt: null, iq: null };
const never = () => new AbortController().signal;
const silent = () => {};

function pool(worker: string, options: ThreadPoolOptions = {}) {
  const runner = openThreadPool({
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

describe('the thread that decodes, as it is built', () => {
  const workerUrl = new URL('../../../dist/server/decode-worker.js', import.meta.url);
  const sample = (name: string) => fileURLToPath(new URL(`../../../samples/${name}`, import.meta.url));

  test('reads a recording', async () => {
    const runner = openThreadPool({ workerUrl, threads: 1 });
    onTestFinished(() => runner.close());
    const outcome = await runner.run(
      { path: sample('plain-text.wav'), missions: [wrenMission()], startedAt: null, iq: null },
      { signal: never(), onProgress: silent },
    );
    if (!outcome.readable) throw new Error(outcome.failure.message);
    expect(outcome.summary.info.encoding).toContain('wav');
    expect(outcome.bursts.length).toBeGreaterThan(0);
    expect(outcome.bursts[0].burst.soft.elementLlr).toBeInstanceOf(Float32Array);
  });

  test('says why a file is no recording', async () => {
    const runner = openThreadPool({ workerUrl, threads: 1 });
    onTestFinished(() => runner.close());
    const outcome = await runner.run(
      { path: fileURLToPath(import.meta.url), missions: [], startedAt: null, iq: null },
      { signal: never(), onProgress: silent },
    );
    expect(outcome).toMatchObject({
      readable: false,
      failure: { code: expect.any(String), message: expect.any(String) },
    });
  });
});

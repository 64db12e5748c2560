import { fileURLToPath } from 'node:url';
import { describe, expect, onTestFinished, test } from 'vitest';
import { openDecodeThreads } from '../../../server/jobs/decode-threads.ts';
import { wrenMission } from '../support/wren.ts';

const never = () => new AbortController().signal;
const silent = () => {};

describe('the thread that decodes, as it is built', () => {
  const workerUrl = new URL('../../../dist/server/decode-worker.js', import.meta.url);
  const sample = (name: string) => fileURLToPath(new URL(`../../../samples/${name}`, import.meta.url));

  test('reads a recording', async () => {
    const runner = openDecodeThreads({ workerUrl, threads: 1 });
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
    const runner = openDecodeThreads({ workerUrl, threads: 1 });
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

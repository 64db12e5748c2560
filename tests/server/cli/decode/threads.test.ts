import { readFile } from 'node:fs/promises';
import { fileURLToPath } from 'node:url';
import { describe, expect, onTestFinished, test } from 'vitest';
import { FiveunitError } from '../../../../decoders/errors.ts';
import { parseMissionText } from '../../../../decoders/mission/read.ts';
import { decodingHere, inTurn } from '../../../../server/cli/decode/decoding.ts';
import type { FileOutcome, FileProgress, FileTask } from '../../../../server/cli/decode/file.ts';
import { decodingWith, type FileRunner } from '../../../../server/cli/decode/threads.ts';
import { openThreadPool } from '../../../../server/jobs/thread-pool.ts';
import { testIo } from '../test-io.ts';

const sample = (name: string) => fileURLToPath(new URL(`../../../../samples/${name}`, import.meta.url));
const task = (file: string): FileTask => ({ file, missions: [], options: { offset: 0 } });
const outcomeOf = (file: string): FileOutcome => ({ readable: false, message: file });
const silent = () => {};

/** Threads that do what the test says, when it says it. */
function handledThreads() {
  const running = new Map<string, { give(outcome: FileOutcome): void; fail(error: Error): void }>();
  const progress = new Map<string, (progress: FileProgress) => void>();
  const signals: AbortSignal[] = [];
  let isClosed = false;
  const runner: FileRunner = {
    width: 2,
    run({ file }, { signal, onProgress }) {
      signals.push(signal);
      progress.set(file, onProgress);
      return new Promise((give, fail) => {
        running.set(file, { give, fail });
      });
    },
    async close() {
      isClosed = true;
      for (const { fail } of running.values()) fail(new Error('stopped'));
    },
  };
  const give = (file: string) => running.get(file)?.give(outcomeOf(file));
  const fail = (file: string, error: Error) => running.get(file)?.fail(error);
  const tell = (file: string, bytes: number) => progress.get(file)?.({ bytes, total: 100 });
  return { runner, running, signals, give, fail, tell, isClosed: () => isClosed };
}

describe('decoding in threads', () => {
  test('keeps the order though the second file is done first', async () => {
    const { runner, running, give } = handledThreads();
    const turns = inTurn(decodingWith(runner, testIo().io), ['slow', 'fast'].map(task));
    const [{ file: first }, firstTurn] = turns.next().value ?? expect.fail();
    expect([...running.keys()]).toEqual(['slow', 'fast']);
    give('fast');
    const outcome = firstTurn(silent);
    give('slow');
    expect([first, await outcome]).toEqual(['slow', outcomeOf('slow')]);
    const [{ file: second }, secondTurn] = turns.next().value ?? expect.fail();
    expect([second, await secondTurn(silent)]).toEqual(['fast', outcomeOf('fast')]);
    expect(turns.next().done).toBe(true);
  });

  test('begins no more files ahead than results may wait', () => {
    const { runner, running } = handledThreads();
    const many = Array.from({ length: 1000 }, (_, i) => task(String(i)));
    inTurn(decodingWith(runner, testIo().io), many).next();
    expect(running.size).toBeGreaterThan(runner.width);
    expect(running.size).toBeLessThan(50);
  });

  test('tells how far a file is read from its turn on, until it is done', async () => {
    const { runner, give, tell } = handledThreads();
    const turn = decodingWith(runner, testIo().io).begin(task('a'));
    const told: number[] = [];
    tell('a', 10);
    tell('a', 20);
    const outcome = turn(({ bytes }) => told.push(bytes));
    expect(told).toEqual([20]);
    tell('a', 30);
    give('a');
    await outcome;
    tell('a', 40);
    expect(told).toEqual([20, 30]);
  });

  test('reads standard input here, at its turn', async () => {
    const { runner, running } = handledThreads();
    const input = await readFile(sample('plain-text.wav'));
    const { io } = testIo({ input });
    const turn = decodingWith(runner, io).begin(task('-'));
    expect(running.size).toBe(0);
    expect(io.stdin.readableEnded).toBe(false);
    expect(await turn(silent)).toMatchObject({ readable: true });
    expect(running.size).toBe(0);
  });

  test('a thread that ran out of memory fails its file only; a fault of the program is thrown', async () => {
    const { runner, fail } = handledThreads();
    const decoding = decodingWith(runner, testIo().io);
    const [large, faulty] = ['large', 'faulty'].map((file) => decoding.begin(task(file)));
    fail('large', new FiveunitError('decoding-too-much-memory', 'too much'));
    fail('faulty', new TypeError('no function'));
    expect(await large(silent)).toEqual({ readable: false, message: 'large: too much' });
    await expect(faulty(silent)).rejects.toThrow(TypeError);
  });

  test('closing stops what runs, and nobody has to wait for it', async () => {
    const { runner, signals, isClosed } = handledThreads();
    const decoding = decodingWith(runner, testIo().io);
    decoding.begin(task('a'));
    decoding.begin(task('b'));
    await decoding.close();
    expect(signals.map(({ aborted }) => aborted)).toEqual([true, true]);
    expect(isClosed()).toBe(true);
  });
});

describe('the threads, as they are built', () => {
  const workerUrl = new URL('../../../../dist/server/file-worker.js', import.meta.url);

  test('come to what this thread comes to', async () => {
    const { mission } = parseMissionText(await readFile(sample('dunlin-1.json'), 'utf8'));
    if (mission === null) throw new Error('the definition is faulty');
    const names = ['plain-text.wav', 'dunlin-1.json', 'nowhere.wav', 'dunlin-cut.wav'];
    const options = { offset: 90, zone: 60, start: '2027-03-01T18:40:00.000Z' };
    const tasks = names.map((name) => ({ file: sample(name), missions: [mission], options }));
    const { io } = testIo();
    const threads = decodingWith(openThreadPool({ workerUrl, threads: 2 }), io);
    onTestFinished(() => threads.close());
    const [there, here] = [[], []] as [FileOutcome[], FileOutcome[]];
    for (const [, turn] of inTurn(threads, tasks)) there.push(await turn(silent));
    for (const [, turn] of inTurn(decodingHere(io), tasks)) here.push(await turn(silent));
    expect(there.map(({ readable }) => readable)).toEqual([true, false, false, true]);
    expect(JSON.stringify(there)).toBe(JSON.stringify(here));
  });
});

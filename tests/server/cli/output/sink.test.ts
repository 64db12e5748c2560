import { mkdtemp, readdir, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { Writable } from 'node:stream';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { CommandError } from '../../../../server/cli/exit.ts';
import { OutputClosed, withSink } from '../../../../server/cli/output/sink.ts';
import { testIo } from '../test-io.ts';

let folder = '';
beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'fiveunit-sink-'));
});
afterEach(() => rm(folder, { recursive: true, force: true }));

describe('withSink', () => {
  test('a file holds all that was written, and nothing else remains beside it', async () => {
    const path = join(folder, 'out.txt');
    await withSink(testIo().io, path, async (sink) => {
      await sink.write('one\n');
      await sink.write(new TextEncoder().encode('two\n'));
    });
    expect(await readFile(path, 'utf8')).toBe('one\ntwo\n');
    expect(await readdir(folder)).toEqual(['out.txt']);
  });

  test('work that fails leaves the old file as it was', async () => {
    const path = join(folder, 'out.txt');
    await writeFile(path, 'old');
    const work = withSink(testIo().io, path, async (sink) => {
      await sink.write('half');
      throw new Error('stopped');
    });
    await expect(work).rejects.toThrow('stopped');
    expect(await readFile(path, 'utf8')).toBe('old');
    expect(await readdir(folder)).toEqual(['out.txt']);
  });

  test('a folder that is not there is said so', async () => {
    const work = withSink(testIo().io, join(folder, 'none', 'out.txt'), async () => {});
    await expect(work).rejects.toThrow(CommandError);
    await expect(work).rejects.toThrow(/none.*no such file/);
  });

  test('a reader that goes away ends the work', async () => {
    const { io } = testIo({ stdout: new Writable({ write: (_chunk, _encoding, done) => done(brokenPipe()) }) });
    const work = withSink(io, undefined, async (sink) => {
      for (let i = 0; i < 1000; i++) {
        await sink.write('line\n');
        await new Promise((next) => setImmediate(next));
      }
    });
    await expect(work).rejects.toThrow(OutputClosed);
  });

  test('waits for a slow reader', async () => {
    let waiting = 0;
    const slow = new Writable({
      highWaterMark: 16,
      write: (_chunk, _encoding, done) => {
        setImmediate(done);
      },
    });
    const { io } = testIo({ stdout: slow });
    await withSink(io, '-', async (sink) => {
      for (let i = 0; i < 50; i++) {
        await sink.write('0123456789');
        waiting = Math.max(waiting, slow.writableLength);
      }
    });
    expect(waiting).toBeLessThan(32);
    expect(slow.writableLength).toBe(0);
  });
});

function brokenPipe(): NodeJS.ErrnoException {
  return Object.assign(new Error('write EPIPE'), { code: 'EPIPE' });
}

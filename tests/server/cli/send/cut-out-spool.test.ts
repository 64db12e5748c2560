import { readdir, utimes, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { beforeEach, describe, expect, test } from 'vitest';
import { CutOutSpool, SPOOL_NAME } from '../../../../server/cli/send/cut-out-spool.ts';
import { temporaryDirectory } from '../../support/directory.ts';

const KEY = '0123456789abcdef';
const PROBLEMS = [{ code: 'cut-short', message: 'The file ends early.', atSeconds: 12 }];

let folder: string;
let path: string;

beforeEach(async () => {
  folder = await temporaryDirectory();
  path = join(folder, 'pass.wav');
});

async function* made(...bytes: number[]) {
  for (const byte of bytes) yield { startSeconds: byte, flac: Uint8Array.of(byte), reading: { bursts: [byte] } };
}

const kept = (): Promise<string[]> => readdir(join(folder, SPOOL_NAME));

describe('what was cut out of a recording', () => {
  test('is kept beside it, and let go of as it is accepted; that it was made is remembered', async () => {
    const spool = await CutOutSpool.beside(path, KEY);
    expect(await spool.record()).toBeNull();
    const record = await spool.keep(PROBLEMS, made(1, 2));
    expect(record.cutOuts.map(({ startSeconds }) => startSeconds)).toEqual([1, 2]);
    await spool.close();

    const later = await CutOutSpool.beside(path, KEY);
    expect(await later.record()).toEqual(record);
    const [first, second] = record.cutOuts;
    await later.accepted(first.sha256);
    expect(await later.waiting(first.sha256)).toBeNull();
    expect(await later.waiting(second.sha256)).toMatchObject({ reading: { bursts: [2] } });
    await later.accepted(second.sha256);
    await later.close();
    expect(await kept()).toEqual([`${KEY}.json`]);
    expect(await (await CutOutSpool.beside(path, KEY)).record()).toEqual(record);
  });

  test('is not there under another key, nor as long as not all of it is', async () => {
    const spool = await CutOutSpool.beside(path, KEY);
    await spool.keep(PROBLEMS, made(1));
    expect(await (await CutOutSpool.beside(path, 'another')).record()).toBeNull();
    const broken = await CutOutSpool.beside(path, 'broken');
    async function* breaking() {
      yield* made(3);
      throw new TypeError('a fault of the program');
    }
    await expect(broken.keep([], breaking())).rejects.toThrow('a fault of the program');
    expect(await broken.record()).toBeNull();
  });

  test.each([
    '',
    '[]',
    '{"problems":[],"cutOuts":[{"startSeconds":1,"sha256":"../x"}]}',
    '{"problems":[1],"cutOuts":[]}',
  ])('is made again where the record is none: %s', async (text) => {
    const spool = await CutOutSpool.beside(path, KEY);
    await writeFile(join(folder, SPOOL_NAME, `${KEY}.json`), text);
    expect(await spool.record()).toBeNull();
  });

  test.each(['nothing can be written beside it', 'too much is kept beside it'])(
    'goes with the spool where %s',
    async (why) => {
      if (why.startsWith('nothing')) await writeFile(join(folder, SPOOL_NAME), '');
      else await (await CutOutSpool.beside(path, KEY)).keep([], made(1, 2));
      const before = why.startsWith('nothing') ? null : await kept();
      const spool = await CutOutSpool.beside(path, 'another', 10);
      const { cutOuts } = await spool.keep([], made(3));
      expect(await spool.waiting(cutOuts[0].sha256)).not.toBeNull();
      await spool.close();
      expect(await spool.waiting(cutOuts[0].sha256)).toBeNull();
      if (before !== null) expect(await kept()).toEqual(before);
    },
  );

  test('is removed when nobody asks for it in a month', async () => {
    const spool = await CutOutSpool.beside(path, KEY);
    await spool.keep([], made(1, 2));
    const longAgo = new Date(Date.now() - 31 * 86_400_000);
    for (const name of await kept()) await utimes(join(folder, SPOOL_NAME, name), longAgo, longAgo);
    await spool.record();
    await CutOutSpool.beside(path, 'another');
    expect(await kept()).toEqual([`${KEY}.json`]);
  });
});

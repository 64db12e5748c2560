import { fileURLToPath } from 'node:url';
import { describe, expect, test } from 'vitest';
import { decodingHere, type FileDecoding, inTurn } from '../../../../server/cli/decode/decoding.ts';
import { testIo } from '../test-io.ts';

const tasks = ['a', 'b', 'c', 'd', 'e'].map((file) => ({ file, missions: [], options: { offset: 0 } }));

describe('the turns of files', () => {
  test.each([1, 2, 3, 9])('come in order, with no more than %i begun', async (ahead) => {
    const begun: string[] = [];
    const decoding: FileDecoding = {
      ahead,
      begin({ file }) {
        begun.push(file);
        return async () => ({ readable: false, message: file });
      },
      async close() {},
    };
    const had: string[] = [];
    for (const [{ file }, turn] of inTurn(decoding, tasks)) {
      expect(begun).toHaveLength(Math.min(tasks.length, had.length + ahead));
      expect(await turn(() => {})).toEqual({ readable: false, message: file });
      had.push(file);
    }
    expect(had).toEqual(['a', 'b', 'c', 'd', 'e']);
    expect(begun).toEqual(had);
  });
});

describe('decoding in this thread', () => {
  test('begins at the turn of a file, and tells how far it is read', async () => {
    const file = fileURLToPath(new URL('../../../../samples/plain-text.wav', import.meta.url));
    const told: number[] = [];
    const decoding = decodingHere(testIo().io);
    const turn = decoding.begin({ file, missions: [], options: { offset: 0 } });
    const outcome = await turn(({ bytes, total }) => told.push(bytes / Number(total)));
    expect(outcome).toMatchObject({ readable: true, remarks: [] });
    expect(told[0]).toBe(0);
    expect(told.at(-1)).toBe(1);
  });

  test('what cannot be read is an outcome', async () => {
    const turn = decodingHere(testIo().io).begin({ file: 'nowhere.wav', missions: [], options: { offset: 0 } });
    expect(await turn(() => {})).toEqual({ readable: false, message: 'nowhere.wav: there is no such file' });
  });
});

import { createHash } from 'node:crypto';
import { mkdir, readdir, readFile, stat, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { Readable } from 'node:stream';
import { expect, test } from 'vitest';
import { openRecordingFiles } from '../../../server/store/files.ts';
import { temporaryDirectory } from '../support/directory.ts';

test('bytes are kept under their own sum, readable by the owner only', async () => {
  const dataDir = await temporaryDirectory();
  const files = await openRecordingFiles(dataDir);
  const incoming = await files.receive(Readable.from([Buffer.from('RIFF'), Buffer.from('WAVE')]));
  const sha256 = createHash('sha256').update('RIFFWAVE').digest('hex');
  expect(incoming).toMatchObject({ sha256, bytes: 8 });
  await files.keep(incoming);
  expect(await readFile(files.pathOf(sha256), 'utf8')).toBe('RIFFWAVE');
  expect(files.pathOf(sha256)).toBe(join(dataDir, 'recordings', sha256.slice(0, 2), sha256));
  if (process.platform !== 'win32') expect((await stat(files.pathOf(sha256))).mode & 0o077).toBe(0);
  expect(await readdir(join(dataDir, 'incoming'))).toEqual([]);
  await files.remove(sha256);
  await files.remove(sha256);
  await expect(stat(files.pathOf(sha256))).rejects.toThrow('ENOENT');
});

test('a stream that breaks off leaves nothing behind', async () => {
  const dataDir = await temporaryDirectory();
  const files = await openRecordingFiles(dataDir);
  const broken = Readable.from(
    (async function* () {
      yield Buffer.alloc(100_000);
      throw new Error('gone');
    })(),
  );
  await expect(files.receive(broken)).rejects.toThrow('gone');
  expect(await readdir(join(dataDir, 'incoming'))).toEqual([]);
});

test('what a killed server was receiving is cleared away, what it kept is not', async () => {
  const dataDir = await temporaryDirectory();
  const files = await openRecordingFiles(dataDir);
  const incoming = await files.receive(Readable.from([Buffer.from('kept')]));
  await files.keep(incoming);
  await mkdir(join(dataDir, 'incoming'), { recursive: true });
  await writeFile(join(dataDir, 'incoming', 'half'), 'half');
  const again = await openRecordingFiles(dataDir);
  expect(await readdir(join(dataDir, 'incoming'))).toEqual([]);
  expect(await readFile(again.pathOf(incoming.sha256), 'utf8')).toBe('kept');
  expect(await again.freeBytes()).toBeGreaterThan(0);
});

import { createHash, randomUUID } from 'node:crypto';
import type { WriteStream } from 'node:fs';
import { mkdir, open, rename, rm, statfs } from 'node:fs/promises';
import { join } from 'node:path';
import { type Readable, Transform } from 'node:stream';
import { pipeline } from 'node:stream/promises';
import { syncDirectory } from './durable.ts';

/** Bytes that came in whole and are on the disk, but are not a recording yet. */
export interface IncomingFile {
  readonly path: string;
  readonly sha256: string;
  readonly bytes: number;
}

/** The recordings' bytes on disk, named by their SHA-256: nothing that a sender says becomes part of a path. */
export interface RecordingFiles {
  /** Streams bytes to the disk at constant memory; leaves nothing behind when the stream fails. */
  receive(stream: Readable): Promise<IncomingFile>;
  /** Makes received bytes a recording's file, for good once the promise is fulfilled. */
  keep(incoming: IncomingFile): Promise<void>;
  discard(incoming: IncomingFile): Promise<void>;
  pathOf(sha256: string): string;
  remove(sha256: string): Promise<void>;
  freeBytes(): Promise<number>;
}

/** Opens the directory of recordings, and clears away what a killed server was in the middle of receiving. */
export async function openRecordingFiles(dataDir: string): Promise<RecordingFiles> {
  const incomingDir = join(dataDir, 'incoming');
  const recordingsDir = join(dataDir, 'recordings');
  await rm(incomingDir, { recursive: true, force: true });
  await mkdir(incomingDir, { recursive: true });
  await mkdir(recordingsDir, { recursive: true });
  await syncDirectory(dataDir);

  const directoryOf = (sha256: string) => join(recordingsDir, sha256.slice(0, 2));
  const pathOf = (sha256: string) => join(directoryOf(sha256), sha256);

  return {
    pathOf,
    async receive(stream) {
      const path = join(incomingDir, randomUUID());
      const hash = createHash('sha256');
      let bytes = 0;
      const measure = new Transform({
        transform(chunk: Uint8Array, _encoding, done) {
          hash.update(chunk);
          bytes += chunk.length;
          done(null, chunk);
        },
      });
      const file = (await open(path, 'wx', 0o600)).createWriteStream({ flush: true });
      try {
        await pipeline(stream, measure, file);
      } catch (error) {
        await closed(file);
        await rm(path, { force: true });
        throw error;
      }
      return { path, sha256: hash.digest('hex'), bytes };
    },
    async keep(incoming) {
      const directory = directoryOf(incoming.sha256);
      const made = await mkdir(directory, { recursive: true });
      await rename(incoming.path, pathOf(incoming.sha256));
      await syncDirectory(directory);
      if (made !== undefined) await syncDirectory(recordingsDir);
    },
    async discard(incoming) {
      await rm(incoming.path, { force: true });
    },
    async remove(sha256) {
      await rm(pathOf(sha256), { force: true });
    },
    async freeBytes() {
      const { bavail, bsize } = await statfs(dataDir);
      return bavail * bsize;
    },
  };
}

/** A file that is still being written cannot be removed for good. */
async function closed(file: WriteStream): Promise<void> {
  if (file.closed) return;
  await new Promise((resolve) => {
    file.once('close', () => resolve(null));
  });
}

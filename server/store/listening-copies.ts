import { mkdir, readdir, rm, stat } from 'node:fs/promises';
import { dirname, join } from 'node:path';

/**
 * Copies to listen to, of recordings whose own container cannot be read from the middle. They can be made again at any
 * time, so that all of them together are kept within bounds.
 */
export interface ListeningCopies {
  /** Where the copy of one channel of a recording is, or is to be made: its directory is there. */
  pathOf(sha256: string, channel: number): Promise<string>;
  /** Removes the oldest until all together take at most `bytesMax`; the newest stays. */
  trim(bytesMax: number): Promise<void>;
  remove(sha256: string): Promise<void>;
}

/** Opens the directory of copies, and clears away what a killed server was in the middle of making. */
export async function openListeningCopies(dataDir: string): Promise<ListeningCopies> {
  const root = join(dataDir, 'listening');
  await mkdir(root, { recursive: true });
  for (const { path } of await copiesIn(root)) if (path.endsWith('.part')) await rm(path, { force: true });

  return {
    async pathOf(sha256, channel) {
      const path = join(root, sha256, `${channel}.wav`);
      await mkdir(dirname(path), { recursive: true });
      return path;
    },
    async trim(bytesMax) {
      const newestFirst = (await copiesIn(root)).sort((a, b) => b.madeMs - a.madeMs);
      let bytes = 0;
      for (const [index, copy] of newestFirst.entries()) {
        bytes += copy.bytes;
        if (index > 0 && bytes > bytesMax) await rm(dirname(copy.path), { recursive: true, force: true });
      }
    },
    remove: (sha256) => rm(join(root, sha256), { recursive: true, force: true }),
  };
}

interface Copy {
  readonly path: string;
  readonly bytes: number;
  readonly madeMs: number;
}

async function copiesIn(root: string): Promise<Copy[]> {
  const copies: Copy[] = [];
  for (const recording of await readdir(root)) {
    for (const name of await readdir(join(root, recording))) {
      const path = join(root, recording, name);
      const { size, mtimeMs } = await stat(path);
      copies.push({ path, bytes: size, madeMs: mtimeMs });
    }
  }
  return copies;
}

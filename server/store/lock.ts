import { join } from 'node:path';
import Database from 'better-sqlite3';
import { FiveunitError } from '../../decoders/errors.ts';

/** Keeps a second server away from a data directory. */
export interface DataLock {
  release(): void;
}

/**
 * Takes a data directory for this process. The operating system lets go of it when the process ends, however it ends.
 * Throws `data-in-use` when another server has it.
 */
export function lockData(dataDir: string): DataLock {
  const db = new Database(join(dataDir, 'server.lock'), { timeout: 0 });
  try {
    db.pragma('locking_mode = EXCLUSIVE');
    db.exec('begin exclusive');
  } catch (cause) {
    db.close();
    throw new FiveunitError(
      'data-in-use',
      `another server uses the data in ${dataDir}: stop it, or give another --data`,
      {
        cause,
      },
    );
  }
  return { release: () => void db.close() };
}

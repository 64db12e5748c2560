import { join } from 'node:path';
import Database from 'better-sqlite3';
import type { Store } from '../store.ts';
import { sqliteEvents } from './events.ts';
import { sqliteFrames } from './frames.ts';
import { sqliteJobs } from './jobs.ts';
import { migrate } from './migrate.ts';
import { sqliteMissions } from './missions.ts';
import { sqliteReadings } from './readings.ts';
import { sqliteRecordings } from './recordings.ts';
import { sqliteSettings } from './settings.ts';
import { sqliteStations } from './stations.ts';

const BUSY_MILLISECONDS = 5000;

/** Opens the store of a data directory. */
export function openDataStore(dataDir: string): Store {
  return openSqliteStore(join(dataDir, 'fiveunit.db'));
}

/**
 * Opens the store in a SQLite file, which is made and brought up to date as needed.
 *
 * @param path of the database file; `:memory:` for a store that is gone when closed.
 */
export function openSqliteStore(path: string): Store {
  const db = new Database(path, { timeout: BUSY_MILLISECONDS });
  try {
    db.pragma('journal_mode = WAL');
    // A commit is on the disk before it is answered.
    db.pragma('synchronous = FULL');
    db.pragma('foreign_keys = ON');
    migrate(db);
    return {
      ...sqliteMissions(db),
      ...sqliteStations(db),
      ...sqliteRecordings(db),
      ...sqliteJobs(db),
      ...sqliteFrames(db),
      ...sqliteReadings(db),
      ...sqliteEvents(db),
      ...sqliteSettings(db),
      async close() {
        db.close();
      },
    };
  } catch (error) {
    db.close();
    throw error;
  }
}

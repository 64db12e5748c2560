import type { Database } from 'better-sqlite3';
import { FiveunitError } from '../../../decoders/errors.ts';
import { migrations } from './migrations/index.ts';

/** Brings a database up to the newest version, each step whole or not at all. Throws when it is newer than this program. */
export function migrate(db: Database, steps: readonly string[] = migrations): void {
  const version = versionOf(db);
  if (version > steps.length) {
    throw new FiveunitError(
      'data-newer',
      `the data was written by a newer version of this program (form ${version}, this one knows up to ${steps.length}): use that version`,
    );
  }
  for (let step = version; step < steps.length; step++) {
    db.transaction(() => {
      db.exec(steps[step]);
      db.pragma(`user_version = ${step + 1}`);
    }).immediate();
  }
}

function versionOf(db: Database): number {
  return Number(db.pragma('user_version', { simple: true }));
}

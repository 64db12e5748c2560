import type { Database } from 'better-sqlite3';
import type { Instant, JobKind } from '../records.ts';

/** Adds a job; part of the transaction that makes it necessary. A job that stands already stays. */
export function jobWriter(db: Database): (kind: JobKind, subject: string, at: Instant) => void {
  const insert = db.prepare<[string, string, number]>(
    'insert into jobs (kind, subject, created_at) values (?, ?, ?) on conflict (kind, subject) do nothing',
  );
  return (kind, subject, at) => {
    insert.run(kind, subject, at);
  };
}

/** Ends a job; part of the transaction that stores what it gave. */
export function jobEnder(db: Database): (kind: JobKind, subject: string) => void {
  const remove = db.prepare<[string, string]>('delete from jobs where kind = ? and subject = ?');
  return (kind, subject) => {
    remove.run(kind, subject);
  };
}

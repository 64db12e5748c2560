import type { Database } from 'better-sqlite3';
import type { Instant, StoredEvent } from '../records.ts';
import type { EventStore } from '../store.ts';

/** Appends an event; part of the transaction that makes it true. */
export function eventWriter(db: Database): (at: Instant, event: StoredEvent['event']) => void {
  const insert = db.prepare<[number, string]>('insert into events (at, body) values (?, ?)');
  return (at, event) => {
    insert.run(at, JSON.stringify(event));
  };
}

export function sqliteEvents(db: Database): EventStore {
  const since = db.prepare<[number, number], { seq: number; at: number; body: string }>(
    'select seq, at, body from events where seq > ? order by seq limit ?',
  );
  const range = db.prepare<[], { oldest: number | null; newest: number | null }>(
    `select (select min(seq) from events) as oldest, (select seq from sqlite_sequence where name = 'events') as newest`,
  );
  const prune = db.prepare<[number]>(
    `delete from events where seq <= (select seq from sqlite_sequence where name = 'events') - ?`,
  );
  return {
    async eventsSince(seq, limit) {
      return since.all(seq, limit).map((row) => ({ seq: row.seq, at: row.at, event: JSON.parse(row.body) }));
    },
    async eventRange() {
      const row = range.get();
      const newest = row?.newest ?? 0;
      return { oldest: row?.oldest ?? newest + 1, newest };
    },
    async pruneEvents(keep) {
      prune.run(keep);
    },
  };
}

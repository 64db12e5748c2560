import type { Phase } from '../../../server/http/messages.ts';

/** A stretch that was heard and has not reached the server. */
export interface KeptAudio {
  /** Given by the store. */
  readonly key: number;
  readonly wav: Blob;
  readonly startMs: number;
  readonly seconds: number;
  readonly frames: number;
  readonly text: string;
  readonly mission: string;
  readonly station: string;
  readonly phase: Phase;
  /** Why the server does not take it; null while it may still. */
  readonly refused: string | null;
}

export type NewAudio = Omit<KeptAudio, 'key' | 'refused'>;

/** Holds the time, as files are named by which the server can tell when one began. */
export const fileNameOf = (startMs: number): string =>
  `heard-${new Date(startMs).toISOString().replace(/[:.]/g, '-')}.wav`;

const NAME = 'fiveunit-listen';
const STORE = 'kept';

/** What was heard, in this browser's own database: it outlives the page, a restart, and days without a network. */
function open(): Promise<IDBDatabase> {
  const opening = indexedDB.open(NAME, 1);
  opening.onupgradeneeded = () => opening.result.createObjectStore(STORE, { keyPath: 'key', autoIncrement: true });
  return resultOf(opening);
}

function resultOf<T>(request: IDBRequest<T>): Promise<T> {
  return new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error ?? new Error('the browser keeps nothing'));
  });
}

async function within<T>(mode: IDBTransactionMode, work: (store: IDBObjectStore) => IDBRequest<T>): Promise<T> {
  const database = await open();
  try {
    return await resultOf(work(database.transaction(STORE, mode).objectStore(STORE)));
  } finally {
    database.close();
  }
}

export async function keepAudio(audio: NewAudio): Promise<void> {
  await within('readwrite', (store) => store.add({ ...audio, refused: null }));
  // asked once something is at stake; a browser that refuses may still keep it
  await navigator.storage?.persist?.().catch(() => false);
}

/** Oldest first. */
export const listKept = (): Promise<KeptAudio[]> =>
  within('readonly', (store): IDBRequest<KeptAudio[]> => store.getAll());

export const forgetKept = (key: number): Promise<undefined> => within('readwrite', (store) => store.delete(key));

export async function markRefused(audio: KeptAudio, refused: string | null): Promise<void> {
  await within('readwrite', (store) => store.put({ ...audio, refused }));
}

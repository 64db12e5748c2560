import { first } from './0001-first.ts';

/** In order, from an empty database; the n-th brings it to version n. Never change one that was released: add one. */
export const migrations: readonly string[] = [first];

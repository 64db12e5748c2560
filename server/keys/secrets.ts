import { createHash, randomBytes, timingSafeEqual } from 'node:crypto';

/** A new key: 256 random bits, as 43 characters that need no quoting anywhere. */
export function newKey(): string {
  return randomBytes(32).toString('base64url');
}

/** What is stored of a key. Keys are random, so a plain hash is enough. */
export function hashKey(key: string): Uint8Array {
  return createHash('sha256').update(key, 'utf8').digest();
}

/** Compares two hashes in a time that tells nothing of where they differ. */
export function sameHash(a: Uint8Array, b: Uint8Array): boolean {
  return a.length === b.length && timingSafeEqual(a, b);
}

import { expect, test } from 'vitest';
import { hashKey, newKey, sameHash } from '../../../server/keys/secrets.ts';

test('keys differ, and only the hash of the same key is the same', () => {
  const keys = Array.from({ length: 50 }, newKey);
  expect(new Set(keys).size).toBe(50);
  const [a, b] = keys;
  expect(sameHash(hashKey(a), hashKey(a))).toBe(true);
  expect(sameHash(hashKey(a), hashKey(b))).toBe(false);
  expect(sameHash(hashKey(a), new Uint8Array(3))).toBe(false);
});

test('the hash is SHA-256 (FIPS 180-4, the digest of "abc")', () => {
  expect(Buffer.from(hashKey('abc')).toString('hex')).toBe(
    'ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad',
  );
});

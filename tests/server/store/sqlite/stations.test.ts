import { expect, test } from 'vitest';
import { NOON } from '../../support/records.ts';
import { memoryStore } from '../../support/store.ts';

const key = (seed: number) => new Uint8Array(32).fill(seed);

test('a station is found by its key until the key is revoked', async () => {
  const store = memoryStore();
  await store.addStation('Q1LARK', key(1), NOON);
  expect((await store.stationByKeyHash(key(1)))?.callSign).toBe('Q1LARK');
  expect(await store.stationByKeyHash(key(2))).toBeNull();
  expect(await store.revokeStation('Q1LARK', NOON + 1)).toBe(true);
  expect(await store.stationByKeyHash(key(1))).toBeNull();
  expect(await store.revokeStation('Q1LARK', NOON + 2)).toBe(false);
  expect(await store.revokeStation('Q9NONE', NOON + 2)).toBe(false);
  expect(await store.stations()).toMatchObject([{ callSign: 'Q1LARK', revokedAt: NOON + 1 }]);
});

test('a new key voids the one before it and lifts a revocation', async () => {
  const store = memoryStore();
  await store.addStation('Q1LARK', key(1), NOON);
  await store.revokeStation('Q1LARK', NOON + 1);
  await store.addStation('Q1LARK', key(2), NOON + 2);
  expect(await store.stationByKeyHash(key(1))).toBeNull();
  expect(await store.stationByKeyHash(key(2))).toMatchObject({
    callSign: 'Q1LARK',
    addedAt: NOON + 2,
    revokedAt: null,
  });
});

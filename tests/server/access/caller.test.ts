import { expect, test } from 'vitest';
import { bearerKey, callerWith } from '../../../server/access/caller.ts';
import { subprotocolKey } from '../../../server/access/live-key.ts';
import { hashKey } from '../../../server/keys/secrets.ts';
import { issueStationKey } from '../../../server/keys/station-keys.ts';
import { NOON, newRecording } from '../support/records.ts';
import { memoryStore } from '../support/store.ts';

const teamKey = { hash: hashKey('the-key-of-the-team!'), path: null };

test('a key tells whose it is', async () => {
  const store = memoryStore();
  const lark = await issueStationKey(store, 'Q1LARK', NOON);
  const { recording } = await store.addRecording(newRecording(1, { senderKeyHash: hashKey('sender') }));
  const caller = (key: string | null) => callerWith(key, teamKey, store);
  expect(await caller(null)).toEqual({ kind: 'nobody' });
  expect(await caller('the-key-of-the-team!')).toEqual({ kind: 'team' });
  expect(await caller(lark)).toEqual({ kind: 'station', callSign: 'Q1LARK' });
  expect(await caller('sender')).toEqual({ kind: 'sender', recording: recording.id });
  await expect(caller('the-key-of-the-team')).rejects.toMatchObject({ code: 'key-unknown' });
});

test('a bearer token is read as RFC 6750 writes it, the scheme in any case', () => {
  expect(bearerKey(undefined)).toBeNull();
  expect(bearerKey('Bearer abc-_.~+/=')).toBe('abc-_.~+/=');
  expect(bearerKey('bearer  abc ')).toBe('abc');
  for (const header of ['', 'abc', 'Bearer ', 'Basic YWJj', 'Bearer a b']) expect(() => bearerKey(header)).toThrow();
});

test('a browser sends its key among the subprotocols', () => {
  const packed = (key: string) => `fiveunit.live, key.${Buffer.from(key).toString('base64url')}`;
  expect(subprotocolKey(packed('käse mit 20 zeichen!'))).toBe('käse mit 20 zeichen!');
  expect(subprotocolKey('fiveunit.live')).toBeNull();
  expect(subprotocolKey(undefined)).toBeNull();
  expect(() => subprotocolKey('key.')).toThrow(/base64url/);
});

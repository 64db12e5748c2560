import { chmod, readFile, stat, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { hashKey, sameHash } from '../../../server/keys/secrets.ts';
import { findTeamKey } from '../../../server/keys/team-key.ts';
import { temporaryDirectory } from '../support/directory.ts';

test('a key from the environment goes before all, and is written nowhere', async () => {
  const dataDir = await temporaryDirectory();
  const key = 'twenty-characters-ok';
  const found = await findTeamKey(dataDir, { FIVEUNIT_TEAM_KEY: key });
  expect(found.path).toBeNull();
  expect(sameHash(found.hash, hashKey(key))).toBe(true);
  await expect(stat(join(dataDir, 'team-key'))).rejects.toThrow('ENOENT');
});

test('a short key is refused with the length it needs', async () => {
  const dataDir = await temporaryDirectory();
  await expect(findTeamKey(dataDir, { FIVEUNIT_TEAM_KEY: 'nineteen-characters' })).rejects.toThrow('at least 20');
  await expect(findTeamKey(dataDir, { FIVEUNIT_TEAM_KEY: '' })).rejects.toThrow('at least 20');
  await writeFile(join(dataDir, 'team-key'), 'short\n');
  await expect(findTeamKey(dataDir, {})).rejects.toThrow('at least 20');
});

test('without one a key is made that only its owner can read, and stays', async () => {
  const dataDir = await temporaryDirectory();
  const first = await findTeamKey(dataDir, {});
  expect(first.path).toBe(join(dataDir, 'team-key'));
  const key = (await readFile(join(dataDir, 'team-key'), 'utf8')).trim();
  expect(key).toMatch(/^[\w-]{43}$/);
  expect(sameHash(first.hash, hashKey(key))).toBe(true);
  const second = await findTeamKey(dataDir, {});
  expect(sameHash(first.hash, second.hash)).toBe(true);
});

test.skipIf(process.platform === 'win32')('a key file that others can read is closed to them', async () => {
  const dataDir = await temporaryDirectory();
  await findTeamKey(dataDir, {});
  const path = join(dataDir, 'team-key');
  expect((await stat(path)).mode & 0o777).toBe(0o600);
  await chmod(path, 0o644);
  await findTeamKey(dataDir, {});
  expect((await stat(path)).mode & 0o777).toBe(0o600);
});

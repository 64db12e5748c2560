import { expect, test } from 'vitest';
import { lockData } from '../../../server/store/lock.ts';
import { temporaryDirectory } from '../support/directory.ts';

test('data are one server’s at a time', async () => {
  const dataDir = await temporaryDirectory();
  const lock = lockData(dataDir);
  expect(() => lockData(dataDir)).toThrow(/another server uses the data/);
  lock.release();
  lockData(dataDir).release();
});

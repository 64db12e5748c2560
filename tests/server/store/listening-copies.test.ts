import { existsSync, utimesSync, writeFileSync } from 'node:fs';
import { expect, test } from 'vitest';
import { openListeningCopies } from '../../../server/store/listening-copies.ts';
import { temporaryDirectory } from '../support/directory.ts';

test('copies are kept within bounds, the newest longest, and go with their recording', async () => {
  const copies = await openListeningCopies(await temporaryDirectory());
  const paths: string[] = [];
  for (const [age, name] of ['a', 'b', 'c'].entries()) {
    const path = await copies.pathOf(name, 0);
    writeFileSync(path, new Uint8Array(1000));
    utimesSync(path, 1e9 - age, 1e9 - age);
    paths.push(path);
  }
  const there = () => paths.map((path) => existsSync(path));
  await copies.trim(3000);
  expect(there()).toEqual([true, true, true]);
  await copies.trim(2500);
  expect(there()).toEqual([true, true, false]);
  await copies.trim(10);
  expect(there()).toEqual([true, false, false]);
  await copies.remove('a');
  expect(there()).toEqual([false, false, false]);
});

test('a copy that was never finished is cleared away', async () => {
  const directory = await temporaryDirectory();
  const path = await (await openListeningCopies(directory)).pathOf('a', 1);
  writeFileSync(path, 'whole');
  writeFileSync(`${path}.part`, 'half');
  await openListeningCopies(directory);
  expect([existsSync(path), existsSync(`${path}.part`)]).toEqual([true, false]);
});

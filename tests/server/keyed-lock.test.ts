import { expect, test } from 'vitest';
import { KeyedLock } from '../../server/keyed-lock.ts';

test('work on one key runs one after the other in the order of asking, also after a failure', async () => {
  const lock = new KeyedLock();
  const log: string[] = [];
  const work = (name: string, fails = false) =>
    lock.run('a', async () => {
      log.push(`${name} begins`);
      await new Promise((resolve) => setImmediate(resolve));
      log.push(`${name} ends`);
      if (fails) throw new Error(name);
      return name;
    });
  const results = await Promise.allSettled([work('1'), work('2', true), work('3')]);
  expect(results.map(({ status }) => status)).toEqual(['fulfilled', 'rejected', 'fulfilled']);
  expect(log).toEqual(['1 begins', '1 ends', '2 begins', '2 ends', '3 begins', '3 ends']);
});

test('work on different keys does not wait', async () => {
  const lock = new KeyedLock();
  let release = () => {};
  const held = lock.run('a', async () => {
    await new Promise<void>((resolve) => {
      release = resolve;
    });
  });
  expect(await lock.run('b', async () => 'free')).toBe('free');
  release();
  await held;
});

import { expect, test } from 'vitest';
import { createToneBank } from '../../../decoders/signal/tone-bank.ts';

test('a tone is correlated once a window, whatever number of pairs it belongs to', () => {
  const bank = createToneBank(4);
  const first = bank.sumsOf(1275, 0);
  const other = bank.sumsOf(1445, 0);
  const drifting = bank.sumsOf(1275, 30);
  expect(bank.sumsOf(1275, 0)).toBe(first);
  expect(bank.sumsOf(1445, 0)).toBe(other);
  expect(bank.sumsOf(1275, 30)).toBe(drifting);
  expect(new Set([first, other, drifting]).size).toBe(3);
  expect(bank.tones).toEqual([
    { hz: 1275, hzPerSecond: 0, sums: first },
    { hz: 1445, hzPerSecond: 0, sums: other },
    { hz: 1275, hzPerSecond: 30, sums: drifting },
  ]);
});

test('the next window begins without any, and takes over the room of the last', () => {
  const bank = createToneBank(4);
  const before = [bank.sumsOf(1275, 0), bank.sumsOf(1445, 0)];
  bank.clear();
  expect(bank.tones).toEqual([]);
  expect(before).toContain(bank.sumsOf(1275, 0));
  expect(before).toContain(bank.sumsOf(1500, 0));
  expect(before).not.toContain(bank.sumsOf(1600, 0));
});

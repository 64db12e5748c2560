import { expect, test, vi } from 'vitest';
import { createToneBank } from '../../../decoders/signal/tone-bank.ts';

test('a tone is correlated once a window, whatever number of pairs it belongs to', () => {
  const bank = createToneBank(4);
  const correlate = vi.fn();
  const first = bank.sumsOf(1275, 0, correlate);
  const other = bank.sumsOf(1445, 0, correlate);
  const drifting = bank.sumsOf(1275, 30, correlate);
  expect(bank.sumsOf(1275, 0, correlate)).toBe(first);
  expect(bank.sumsOf(1445, 0, correlate)).toBe(other);
  expect(bank.sumsOf(1275, 30, correlate)).toBe(drifting);
  expect(new Set([first, other, drifting]).size).toBe(3);
  expect(correlate).toHaveBeenCalledTimes(3);
});

test('the next window begins without any', () => {
  const bank = createToneBank(4);
  const fill = (value: number) => vi.fn((sums: { re: Float64Array }) => sums.re.fill(value));
  expect([...bank.sumsOf(1275, 0, fill(1)).re]).toEqual([1, 1, 1, 1]);
  bank.clear();
  expect([...bank.sumsOf(1275, 0, fill(2)).re]).toEqual([2, 2, 2, 2]);
});

import { expect, test } from 'vitest';
import { KeepUp } from '../../../../web/pages/listen/keep-up.ts';

/** Milliseconds that wait at most for a decoder which takes `costMs` for the samples of 100 ms, over an hour. */
function longestWait(costMs: number): { readonly mostMs: number; readonly droppedShare: number } {
  const keepUp = new KeepUp();
  let nowMs = 0;
  let mostMs = 0;
  let dropped = 0;
  let blocks = 0;
  for (let atMs = 100; atMs <= 3_600_000; atMs += 100) {
    nowMs = Math.max(nowMs, atMs);
    mostMs = Math.max(mostMs, nowMs - atMs);
    blocks++;
    if (keepUp.mustDrop(atMs, nowMs)) dropped++;
    else nowMs += costMs;
  }
  return { mostMs, droppedShare: dropped / blocks };
}

test('a decoder that is fast enough loses nothing', () => {
  expect(longestWait(95)).toEqual({ mostMs: 0, droppedShare: 0 });
});

test('what waits for a slower one stays bounded, and no more is lost than it is slower', () => {
  const { mostMs, droppedShare } = longestWait(150);
  expect(mostMs).toBeLessThan(31_000);
  expect(droppedShare).toBeGreaterThan(0.28);
  expect(droppedShare).toBeLessThan(0.4);
});

test('once behind, samples are let go in one piece until they are those of now', () => {
  const keepUp = new KeepUp();
  expect(keepUp.mustDrop(0, 29_000)).toBe(false);
  expect(keepUp.mustDrop(1000, 32_000)).toBe(true);
  expect(keepUp.mustDrop(30_000, 32_000)).toBe(true);
  expect(keepUp.mustDrop(31_900, 32_000)).toBe(false);
  expect(keepUp.mustDrop(31_900, 34_000)).toBe(false);
});

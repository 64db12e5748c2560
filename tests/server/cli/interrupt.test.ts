import { describe, expect, test } from 'vitest';
import { untilInterrupted } from '../../../server/cli/interrupt.ts';

const SIGNALS = ['SIGINT', 'SIGTERM'] as const;
const listeners = () => SIGNALS.map((name) => process.listenerCount(name));

describe('work that can be interrupted', () => {
  test.each(SIGNALS)('is told of %s once', async (name) => {
    const others = process.rawListeners(name);
    const told = await untilInterrupted(async (signal) => {
      expect(signal.aborted).toBe(false);
      // only these: a true signal would reach the test runner too
      for (const listener of process.rawListeners(name)) if (!others.includes(listener)) listener();
      return signal.aborted;
    });
    expect(told).toBe(true);
  });

  test('leaves nothing behind, whether it came to its end or failed', async () => {
    const before = listeners();
    for (let time = 0; time < 20; time++) await untilInterrupted(async () => time);
    expect(listeners()).toEqual(before);
    await expect(untilInterrupted(() => Promise.reject(new Error('gone')))).rejects.toThrow('gone');
    expect(listeners()).toEqual(before);
  });
});

import { describe, expect, test } from 'vitest';
import { fillDemo } from '../../../server/demo/fill.ts';
import type { Services } from '../../../server/services.ts';
import { testApp } from '../support/app.ts';

const STOPPED = new Error('stopped');

/** Fills in so many lines of the history, as a server does that is stopped then. */
async function fill(services: Services, lines: number): Promise<void> {
  let left = lines;
  const filling = fillDemo(services, () => {
    if (--left === 0) throw STOPPED;
  });
  await expect(filling).rejects.toBe(STOPPED);
}

async function framesOf(services: Services) {
  return services.store.frames({
    mission: 'dunlin-1',
    from: null,
    to: null,
    station: null,
    leastTrust: 'doubtful',
    phase: 'flight',
    limit: 500,
    after: null,
  });
}

describe('fillDemo', () => {
  test('brings two missions that say that they are invented, and recordings that wait for decoding', async () => {
    const { services } = await testApp();
    await fill(services, 1);
    const missions = await services.store.missions();
    expect(missions.map(({ id, invented }) => ({ id, invented }))).toEqual([
      { id: 'dunlin-1', invented: true },
      { id: 'plover-2', invented: true },
    ]);
    const query = { limit: 10, after: null, mission: undefined, station: null, sha256: null, exceptMissions: [] };
    const recordings = await services.store.recordings(query);
    expect(recordings.map(({ fileName }) => fileName)).toEqual([
      'plain-text.wav',
      'dunlin-cut.wav',
      'dunlin-three.wav',
      'dunlin-weak.wav',
    ]);
    expect(recordings.every(({ status, vouched }) => status === 'waiting' && vouched)).toBe(true);
  });

  test('reads lines by the way of all lines, the newest first', async () => {
    const { services } = await testApp();
    await fill(services, 12);
    const frames = await framesOf(services);
    expect(frames.length).toBeGreaterThan(8);
    const now = services.clock();
    for (const { receivedAt, vouched, decoded } of frames) {
      expect(now - Number(receivedAt)).toBeLessThan(4 * 3_600_000);
      expect(vouched).toBe(true);
      // A typed line is never confirmed by itself.
      expect(decoded.trust).not.toBe('confirmed');
    }
    const last = await services.store.lastReadings('dunlin-1', 'flight');
    expect(last.map(({ parameter }) => parameter)).toContain('battery_voltage');
  });

  test('goes on where a stopped server left off, and never twice', async () => {
    const { services } = await testApp();
    await fill(services, 6);
    const before = await framesOf(services);
    await fill(services, 10);
    const after = await framesOf(services);
    expect(after.length).toBeGreaterThan(before.length + 4);
    const keys = after.map(({ receivedAt, station }) => `${receivedAt} ${station}`);
    expect(new Set(keys).size).toBe(after.length);
  });
});

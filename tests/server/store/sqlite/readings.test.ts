import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { SeriesQuery } from '../../../../server/store/records.ts';
import { NOON, newFrame, reading } from '../../support/records.ts';
import { addFrame, storeWithMission } from '../../support/store.ts';

const query: SeriesQuery = {
  mission: 'wren-1',
  parameter: 'battery_voltage',
  from: null,
  to: null,
  phase: 'flight',
  leastTrust: 'probable',
  vouchedOnly: false,
  points: 1000,
};

async function storeOf(values: readonly (number | string | null)[], everyMilliseconds = 60_000) {
  const store = await storeWithMission();
  for (const [index, value] of values.entries()) {
    await addFrame(store, newFrame(NOON + index * everyMilliseconds, [reading(value)]));
  }
  return store;
}

describe('a series', () => {
  test('has all readings in order when they fit', async () => {
    const store = await storeOf([7.9, null, 7.8]);
    const { readings, total, bucketMilliseconds } = await store.series(query);
    expect(readings.map(({ value }) => value)).toEqual([7.9, null, 7.8]);
    expect(total).toBe(3);
    expect(bucketMilliseconds).toBeNull();
  });

  test('is empty for what nobody knows', async () => {
    const store = await storeOf([7.9]);
    for (const change of [{ parameter: 'nothing' }, { mission: 'robin-1' }, { phase: 'bench' as const }]) {
      expect(await store.series({ ...query, ...change })).toEqual({ readings: [], total: 0, bucketMilliseconds: null });
    }
  });

  test('keeps to the range, both ends included, to trust and to vouching', async () => {
    const store = await storeOf([1, 2, 3]);
    await addFrame(store, newFrame(NOON + 1, [reading(9, { trust: 'doubtful' })], { vouched: false }));
    const values = async (change: Partial<SeriesQuery>) =>
      (await store.series({ ...query, ...change })).readings.map(({ value }) => value);
    expect(await values({ from: NOON + 60_000 })).toEqual([2, 3]);
    expect(await values({ to: NOON + 60_000 })).toEqual([1, 2]);
    expect(await values({ leastTrust: 'doubtful' })).toEqual([1, 9, 2, 3]);
    expect(await values({ leastTrust: 'doubtful', vouchedOnly: true })).toEqual([1, 2, 3]);
    expect(await values({ leastTrust: 'confirmed' })).toEqual([1, 2, 3]);
  });

  test('thinned keeps every extreme, the first and the last, in order and about as many as asked for', async () => {
    await fc.assert(
      fc.asyncProperty(
        fc.array(fc.integer({ min: -50, max: 50 }), { minLength: 30, maxLength: 120 }),
        fc.integer({ min: 4, max: 25 }),
        async (values, points) => {
          const store = await storeOf(values);
          const { readings, total, bucketMilliseconds } = await store.series({ ...query, points });
          expect(total).toBe(values.length);
          expect(readings.length).toBeLessThanOrEqual(points + 2);
          expect(bucketMilliseconds).toBeGreaterThan(0);
          const kept = readings.map(({ value }) => Number(value));
          expect(Math.max(...kept)).toBe(Math.max(...values));
          expect(Math.min(...kept)).toBe(Math.min(...values));
          expect([kept[0], kept.at(-1)]).toEqual([values[0], values.at(-1)]);
          const times = readings.map(({ time }) => time);
          expect(times).toEqual([...new Set(times)].sort((a, b) => a - b));
          for (const { time, value } of readings) expect(values[(time - NOON) / 60_000]).toBe(value);
        },
      ),
      { numRuns: 25 },
    );
  });

  test('of words keeps where they change, however short', async () => {
    const words = Array.from({ length: 200 }, (_, index) => (index === 77 ? 'SAFE' : index < 120 ? 'NOM' : 'PAY'));
    const store = await storeOf(words);
    const { readings } = await store.series({ ...query, points: 10 });
    expect(readings.map(({ value }) => value)).toEqual(['NOM', 'SAFE', 'NOM', 'PAY', 'PAY']);
    expect(readings[1].time).toBe(NOON + 77 * 60_000);
  });
});

test('of each parameter the last reading is the newest that is not doubtful, with its station', async () => {
  const store = await storeWithMission();
  await addFrame(store, newFrame(NOON, [reading(7.9), reading(3, { parameter: 'temperature' })]));
  await addFrame(store, newFrame(NOON + 1, [reading(8.0)], { station: 'Q2' }));
  await addFrame(store, newFrame(NOON + 2, [reading(1.1, { trust: 'doubtful' })]));
  await addFrame(store, newFrame(NOON + 3, [reading(2.2)], { phase: 'bench' }));
  const last = await store.lastReadings('wren-1', 'flight');
  expect(last).toMatchObject([
    { parameter: 'battery_voltage', value: 8.0, station: 'Q2', time: NOON + 1 },
    { parameter: 'temperature', value: 3, station: 'Q1LARK', time: NOON },
  ]);
});

test('recent readings run backwards and leave out what nobody vouches for', async () => {
  const store = await storeWithMission();
  await addFrame(store, newFrame(NOON, [reading(1)]));
  await addFrame(store, newFrame(NOON + 1, [reading(2)], { vouched: false }));
  await addFrame(store, newFrame(NOON + 2, [reading(3)]));
  const values = async (limit: number) =>
    (await store.recentReadings('wren-1', 'battery_voltage', 'flight', limit)).map(({ value }) => value);
  expect(await values(10)).toEqual([3, 1]);
  expect(await values(1)).toEqual([3]);
});

test('readings between two times come by parameter, oldest first', async () => {
  const store = await storeOf([1, 2, 3, 4]);
  const found = await store.readingsBetween(
    'wren-1',
    ['battery_voltage', 'none'],
    'flight',
    NOON + 60_000,
    NOON + 120_000,
  );
  expect(found.map(({ parameter, value }) => [parameter, value])).toEqual([
    ['battery_voltage', 2],
    ['battery_voltage', 3],
  ]);
});

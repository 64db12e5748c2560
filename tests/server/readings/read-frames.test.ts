import { describe, expect, test } from 'vitest';
import type { Reading } from '../../../decoders/engineering/types.ts';
import { earlierNeeds } from '../../../server/readings/earlier-needs.ts';
import { readFrames } from '../../../server/readings/read-frames.ts';
import { wren } from '../support/app.ts';
import { decodedFrame, NOON, newFrame, reading } from '../support/records.ts';
import { addFrame, storeWithMission } from '../support/store.ts';
import { powerFrame, wrenMission } from '../support/wren.ts';

/** `wren-1` with the power of the battery per degree, which needs the temperature of another frame. */
const mission = wrenMission({
  parameters: [
    ...parametersOf(wren()),
    { id: 'sum', name: 'Sum', derive: { sum: ['body_copy', 'battery_copy'], withinSeconds: 120 } },
    { id: 'body_copy', name: 'Body', from: 'body' },
    { id: 'battery_copy', name: 'Battery', from: 'battery' },
    {
      id: 'limited',
      name: 'Limited',
      from: 'battery',
      limits: [{ hard: [0, 5], when: { parameter: 'body_copy', above: 0, withinSeconds: 30 } }, { hard: [0, 9999] }],
    },
  ],
});

function parametersOf({ parameters }: Record<string, unknown>): unknown[] {
  return Array.isArray(parameters) ? parameters : [];
}

const field = (raw: number) => ({ raw, text: String(raw), confidence: 0.99999 });
const thermal = (body: number, trust: 'confirmed' | 'doubtful' = 'confirmed') =>
  decodedFrame({
    frame: 'thermal',
    trust,
    confidence: trust === 'doubtful' ? 0.1 : 1,
    fields: { count: field(1), body: { ...field(body), confidence: trust === 'doubtful' ? 0.1 : 1 } },
  });

function valueIn(readings: readonly Reading[], parameter: string) {
  return readings.find((each) => each.parameter === parameter)?.value;
}

test('what a mission needs of earlier frames is told with how far back', () => {
  expect([...earlierNeeds(mission)].sort()).toEqual([
    ['battery_copy', 120],
    ['body_copy', 120],
  ]);
  expect(earlierNeeds(wrenMission()).size).toBe(0);
});

describe('readings that need another frame', () => {
  test('take it from the frames before, in the order of time whatever the order given', async () => {
    const store = await storeWithMission();
    const readings = await readFrames(store, mission, 'flight', [
      { decoded: powerFrame({ battery: 100 }), receivedAt: NOON + 60_000 },
      { decoded: thermal(7), receivedAt: NOON },
      { decoded: powerFrame({ battery: 100 }), receivedAt: NOON - 1 },
    ]);
    expect(readings.map((each) => valueIn(each, 'sum'))).toEqual([107, 107, undefined]);
  });

  test('take it from the store, if it is near enough, trusted and of the phase', async () => {
    const store = await storeWithMission();
    const body = (value: number, change: Partial<Reading> = {}) =>
      reading(value, { parameter: 'body_copy', ...change });
    await addFrame(store, newFrame(NOON - 110_000, [body(5)]));
    await addFrame(store, newFrame(NOON - 20_000, [body(900, { trust: 'doubtful' })]));
    await addFrame(store, newFrame(NOON - 10_000, [body(900)], { phase: 'bench' }));
    await addFrame(store, newFrame(NOON + 1000, [body(900)]));
    const sumAt = async (receivedAt: number | null) => {
      const [readings] = await readFrames(store, mission, 'flight', [
        { decoded: powerFrame({ battery: 100 }), receivedAt },
      ]);
      return valueIn(readings, 'sum');
    };
    expect(await sumAt(NOON)).toBe(105);
    expect(await sumAt(NOON - 110_000 - 1)).toBeUndefined();
    expect(await sumAt(NOON - 1000 + 20_000 - 10_000)).toBe(1000);
    expect(await sumAt(null)).toBeUndefined();
  });

  test('do not take what the frames themselves said by an earlier definition', async () => {
    const store = await storeWithMission();
    const id = await addFrame(store, newFrame(NOON - 1000, [reading(900, { parameter: 'body_copy' })]));
    const [, readings] = await readFrames(store, mission, 'flight', [
      { id, decoded: thermal(7, 'doubtful'), receivedAt: NOON - 1000 },
      { decoded: powerFrame({ battery: 100 }), receivedAt: NOON },
    ]);
    expect(valueIn(readings, 'sum')).toBeUndefined();
  });

  test('do not take a doubtful one', async () => {
    const store = await storeWithMission();
    const [, readings] = await readFrames(store, mission, 'flight', [
      { decoded: thermal(7, 'doubtful'), receivedAt: NOON - 1000 },
      { decoded: powerFrame({ battery: 100 }), receivedAt: NOON },
    ]);
    expect(valueIn(readings, 'sum')).toBeUndefined();
  });

  test('serve the conditions of limits as well', async () => {
    const store = await storeWithMission();
    const limitAfter = async (gap: number) => {
      const [, readings] = await readFrames(store, mission, 'flight', [
        { decoded: thermal(7), receivedAt: NOON },
        { decoded: powerFrame({ battery: 100 }), receivedAt: NOON + gap },
      ]);
      return readings.find(({ parameter }) => parameter === 'limited')?.limit;
    };
    expect(await limitAfter(20_000)).toBe('hard');
    expect(await limitAfter(40_000)).toBe('normal');
  });
});

test('a mission that needs nothing of other frames asks the store nothing', async () => {
  const store = await storeWithMission();
  store.readingsBetween = async () => {
    throw new Error('asked');
  };
  const [readings] = await readFrames(store, wrenMission(), 'flight', [{ decoded: powerFrame(), receivedAt: NOON }]);
  expect(valueIn(readings, 'battery_voltage')).toBe(7.921);
});

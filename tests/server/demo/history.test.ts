import { describe, expect, test } from 'vitest';
import { readMission } from '../../../decoders/mission/read.ts';
import type { Mission } from '../../../decoders/mission/types.ts';
import { demoHistory, demoTransmissions } from '../../../server/demo/history.ts';
import { lookAt } from '../../../server/demo/orbit.ts';
import { sampleDefinition } from '../../../server/demo/samples.ts';
import { DEMO_STATIONS } from '../../../server/demo/scene.ts';

const nowMs = Date.parse('2026-11-25T10:00:00Z');
const transmissions = [...demoTransmissions(nowMs)];
const mission = await dunlin();
const history = [...demoHistory(mission, nowMs)];

async function dunlin(): Promise<Mission> {
  const { mission: read } = readMission(await sampleDefinition('dunlin-1'));
  if (read === null) throw new Error('dunlin-1 is faulty');
  return read;
}

describe('demoTransmissions', () => {
  test('is one frame a minute for two weeks, counted on, of three kinds', () => {
    expect(transmissions).toHaveLength(14 * 1440 + 1);
    expect(transmissions.at(-1)?.timeMs).toBe(nowMs);
    const counts = transmissions.map(({ values }) => Number(values.count));
    expect(counts.every((count, i) => count === counts[0] + i)).toBe(true);
    expect(new Set(transmissions.map(({ frame }) => frame))).toEqual(new Set(['power', 'thermal', 'housekeeping']));
  });

  test('tells of a safe mode, two restarts and a battery that ends too warm', () => {
    const modes = transmissions.flatMap(({ values }) => values.mode ?? []);
    expect(new Set(modes)).toEqual(new Set(['NOM', 'PAY', 'SAFE']));
    expect(modes.at(-1)).not.toBe('SAFE');
    const restarts = transmissions.flatMap(({ values }) =>
      values.restarts === undefined ? [] : Number(values.restarts),
    );
    expect(Math.max(...restarts) - Math.min(...restarts)).toBe(2);
    const volts = transmissions.flatMap(({ values }) =>
      values.battery_mv === undefined ? [] : Number(values.battery_mv),
    );
    // Soft limit of the definition: 7.0 V.
    expect(Math.min(...volts)).toBeLessThan(7000);
  });
});

describe('demoHistory', () => {
  test('is some thousand lines of known stations, in the order of time, whenever it is asked for', () => {
    expect(history.length).toBeGreaterThan(1000);
    expect(history.length).toBeLessThan(5000);
    expect(new Set(history.map(({ station }) => station))).toEqual(
      new Set(DEMO_STATIONS.map(({ callSign }) => callSign)),
    );
    const times = history.map(({ receivedAtMs }) => receivedAtMs);
    expect(times).toEqual([...times].sort((a, b) => a - b));
    expect([...demoHistory(mission, nowMs)]).toEqual(history);
  });

  test('is heard only by stations that have the satellite above them', () => {
    const positions = new Map(transmissions.map(({ timeMs, positionKm }) => [timeMs, positionKm]));
    const places = new Map(DEMO_STATIONS.map((station) => [station.callSign, station]));
    const elevations = history.map(({ station, receivedAtMs }) => {
      const [place, position] = [places.get(station), positions.get(receivedAtMs)];
      return place && position ? lookAt(position, place, receivedAtMs).elevationDeg : Number.NaN;
    });
    expect(Math.min(...elevations)).toBeGreaterThan(0);
  });

  test('leaves some frames damaged and some copies at two stations', () => {
    const damaged = history.filter(({ text }) => text.includes('_')).length / history.length;
    expect(damaged).toBeGreaterThan(0.02);
    expect(damaged).toBeLessThan(0.2);
    const copies = history.length - new Set(history.map(({ receivedAtMs }) => receivedAtMs)).size;
    expect(copies).toBeGreaterThan(10);
  });
});

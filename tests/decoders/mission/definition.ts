import { readMission } from '../../../decoders/mission/read.ts';
import type { Mission } from '../../../decoders/mission/types.ts';

/** A JSON object whose keys a test may change at will. */
export type Json = Record<string, unknown>;

/**
 * A small sound definition of an invented satellite with every usual part. The checksum of its example was computed apart,
 * with Python's binascii.crc_hqx(text, 0xFFFF).
 */
export function definition(changes: Json = {}): Json {
  return {
    fiveunit: 1,
    id: 'dunlin-1',
    name: 'Dunlin-1',
    callSign: 'Q0DUN',
    beacon: { modulation: 'afsk', baud: 45.45, markHz: 1275, spaceHz: 1445, stopElements: 1.5, alphabet: 'ita2' },
    battery: { cellsInSeries: 2, capacityAmpereHours: 2.6, chemistry: 'lithium-ion' },
    frames: [{ id: 'power', layout: powerLayout() }],
    parameters: [
      {
        id: 'battery_voltage',
        name: 'Battery voltage',
        unit: 'V',
        group: 'battery',
        from: 'battery',
        calibration: { polynomial: [0, 0.001] },
        role: 'battery_voltage',
        limits: { soft: [7.0, 8.3], hard: [6.6, 8.45] },
        persistence: 2,
        decimals: 2,
      },
      {
        id: 'battery_current',
        unit: 'A',
        from: 'current',
        calibration: { polynomial: [0, 0.001] },
        role: 'battery_current',
      },
      { id: 'battery_power', unit: 'W', derive: { product: ['battery_voltage', 'battery_current'] } },
      { id: 'heater', from: 'status', bit: 3, states: { '0': 'off', '1': 'on' } },
      { id: 'mode', from: 'mode', role: 'mode' },
    ],
    examples: [
      {
        text: 'Q0DUN P 00042 7921 -0130 05.02 1F NOM 5A29',
        readings: {
          battery_voltage: 7.921,
          battery_current: -0.13,
          battery_power: -1.02973,
          heater: 'on',
          mode: 'NOM',
        },
      },
    ],
    ...changes,
  };
}

export function powerLayout(): Json[] {
  return [
    { text: 'Q0DUN P ' },
    { field: 'count', digits: 5 },
    { text: ' ' },
    { field: 'battery', digits: [1, 4] },
    { text: ' ' },
    { field: 'current', digits: 4, sign: 'minus' },
    { text: ' ' },
    { field: 'bus', digits: 2, decimals: 2 },
    { text: ' ' },
    { field: 'status', hex: 2 },
    { text: ' ' },
    { field: 'mode', oneOf: ['SAFE', 'NOM'] },
    { text: ' ' },
    { checksum: 'crc-16/ibm-3740', hex: 4 },
  ];
}

/** A definition with other frames and parameters and no examples. */
export function withFrames(frames: Json[], parameters: Json[] = [], changes: Json = {}): Json {
  return definition({ frames, parameters, examples: [], ...changes });
}

/** One frame of the given layout, which begins with a call sign. */
export function withLayout(layout: Json[], parameters: Json[] = []): Json {
  return withFrames([{ id: 'one', layout: [{ text: 'Q0DUN ' }, ...layout] }], parameters);
}

export function missionOf(json: unknown): Mission {
  const { mission, faults } = readMission(json);
  if (mission === null) throw new Error(JSON.stringify(faults, null, 1));
  return mission;
}

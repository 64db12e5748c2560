import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import type { DecodeEvent } from '../../../decoders/decode.ts';
import { parseMissionText } from '../../../decoders/mission/read.ts';
import type { Mission } from '../../../decoders/mission/types.ts';
import { createRecordingDecoder } from '../../../decoders/recording.ts';

const folder = join(import.meta.dirname, '../../../samples');
const files = readdirSync(folder);

interface Expected {
  readonly recording: string;
  readonly mission: string | null;
  readonly seconds: number;
  readonly expected: {
    readonly bursts: readonly { baud: number; markHz: number; spaceHz: number; text?: string }[];
    readonly frames: readonly ({ readings: Record<string, number | string> } & Record<string, unknown>)[];
  };
}

function missionOf(file: string): Mission {
  const { mission, faults } = parseMissionText(readFileSync(join(folder, file), 'utf8'));
  expect(faults).toEqual([]);
  if (mission === null) throw new Error(`${file} is faulty`);
  return mission;
}

describe('sample missions', () => {
  test.each(files.filter((file) => /^[a-z]+-\d\.json$/.test(file)))('%s is right, warnings included', (file) => {
    expect(missionOf(file).examples.length).toBeGreaterThan(0);
  });
});

describe('sample recordings', () => {
  const sheets = files.filter((file) => file.endsWith('.expected.json'));

  test('each has a sheet that says what it holds, and is small', () => {
    const recordings = files.filter((file) => file.endsWith('.wav'));
    expect(sheets.map((sheet) => sheet.replace('.expected.json', '.wav'))).toEqual(recordings);
    for (const recording of recordings) expect(readFileSync(join(folder, recording)).length).toBeLessThan(1e6);
  });

  test.each(sheets)('%s comes true', (sheet) => {
    const { recording, mission, seconds, expected }: Expected = JSON.parse(readFileSync(join(folder, sheet), 'utf8'));
    const missions = mission === null ? [] : [missionOf(mission)];
    const decoder = createRecordingDecoder({ missions });
    const found: Extract<DecodeEvent, { type: 'burst' }>[] = [];
    const keep = (event: DecodeEvent) => {
      if (event.type === 'burst') found.push(event);
    };
    decoder.push(readFileSync(join(folder, recording)), keep);
    expect(decoder.end(keep).seconds).toBeCloseTo(seconds, 1);

    expect(found).toHaveLength(expected.bursts.length);
    for (const [i, { baud, markHz, spaceHz, text }] of expected.bursts.entries()) {
      const { burst } = found[i];
      expect(Math.abs(burst.baud / baud - 1)).toBeLessThan(0.005);
      expect(Math.abs(burst.markHz - markHz)).toBeLessThan(5);
      expect(Math.abs(burst.spaceHz - spaceHz)).toBeLessThan(5);
      if (text !== undefined) expect(burst.text.trim()).toBe(text);
    }

    const frames = found.flatMap((event) => event.frames);
    expect(frames).toHaveLength(expected.frames.length);
    for (const [i, { readings, ...standing }] of expected.frames.entries()) {
      expect(frames[i].frame).toMatchObject(standing);
      const values = Object.fromEntries(frames[i].readings.map(({ parameter, value }) => [parameter, value]));
      for (const [parameter, value] of Object.entries(readings)) {
        if (typeof value === 'number') expect(values[parameter]).toBeCloseTo(value, 6);
        else expect(values[parameter]).toBe(value);
      }
    }
  });
});

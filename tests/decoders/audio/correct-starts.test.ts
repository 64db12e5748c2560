import { describe, expect, test } from 'vitest';
import { type Corrections, correctStarts, offsetSeconds, zoneMinutes } from '../../../decoders/audio/correct-starts.ts';
import type { RecordingStart } from '../../../decoders/audio/start-time.ts';

const none: Corrections = { firstStart: null, zoneMinutes: null, offsetSeconds: 0 };
const zoned: RecordingStart = {
  iso: '2031-05-04T09:00:00.000Z',
  source: 'bext',
  uncertaintySeconds: 1,
  zoneStated: true,
};
const local: RecordingStart = { ...zoned, uncertaintySeconds: 50_400, zoneStated: false };
const times = (found: readonly (RecordingStart | null)[], change: Partial<Corrections>) =>
  correctStarts(found, { ...none, ...change }).map(({ start, corrected }) => [start?.iso.slice(11, 19), corrected]);

describe('correctStarts', () => {
  test('leaves what nobody corrects', () => {
    expect(correctStarts([zoned, local, null], none)).toEqual(
      [zoned, local, null].map((start) => ({ start, corrected: false })),
    );
  });

  test('gives a zone to times without one only', () => {
    expect(times([zoned, local, null], { zoneMinutes: 120 })).toEqual([
      ['09:00:00', false],
      ['07:00:00', true],
      [undefined, false],
    ]);
    const [{ start }] = correctStarts([local], { ...none, zoneMinutes: 0 });
    expect(start).toMatchObject({ zoneStated: true, uncertaintySeconds: 1, source: 'bext, corrected' });
  });

  test('moves all by an offset, which says nothing of the zone', () => {
    expect(times([zoned, local, null], { offsetSeconds: -90 })).toEqual([
      ['08:58:30', true],
      ['08:58:30', true],
      [undefined, false],
    ]);
    expect(correctStarts([local], { ...none, offsetSeconds: 1 })[0].start?.uncertaintySeconds).toBe(50_400);
  });

  test('moves all by what the first was wrong', () => {
    const later = { ...zoned, iso: '2031-05-04T09:10:00.000Z' };
    expect(times([zoned, later], { firstStart: '2031-05-04T12:00:00.000Z', offsetSeconds: 5 })).toEqual([
      ['12:00:05', true],
      ['12:10:05', true],
    ]);
    expect(times([null, later], { firstStart: '2031-05-04T12:00:00.000Z' })).toEqual([
      ['12:00:00', true],
      ['09:10:00', true],
    ]);
  });
});

test('zones and offsets as people write them', () => {
  expect(['Z', 'utc', '+02:00', '-0530', '+9', '-3'].map(zoneMinutes)).toEqual([0, 0, 120, -330, 540, -180]);
  for (const wrong of ['', 'CET', '2', '+15', '+02:60', '+2:0']) expect(zoneMinutes(wrong)).toBeNull();
  expect(['90', '-1.5', '+2h', '-30 min', '1d', '5s'].map(offsetSeconds)).toEqual([90, -1.5, 7200, -1800, 86_400, 5]);
  for (const wrong of ['', 'h', '1w', '1:30', '--1']) expect(offsetSeconds(wrong)).toBeNull();
});

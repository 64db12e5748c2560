import { expect, test } from 'vitest';
import { knownBeacons } from '../../../decoders/frames/known-beacons.ts';
import { digitFrame, missionOf } from '../support/missions.ts';

const FRAMES = { a: digitFrame(null), b: [{ text: 'Q0DUN B ' }, { field: 'n', digits: 5 }] };

test('a mission that names speed and tones is a beacon with a pattern a layout', () => {
  const mission = missionOf(FRAMES, { stopElements: 2 });
  const [beacon, ...others] = knownBeacons([mission], null);
  expect(others).toEqual([]);
  expect(beacon).toMatchObject({ baud: 45.45, markHz: 1275, spaceHz: 1445, stopElements: 2 });
  expect(beacon.patterns).toHaveLength(2);
  expect(beacon.missionOfPattern).toEqual([mission, mission]);
});

test('each further speed or pair of tones is one more', () => {
  const mission = missionOf(FRAMES, { also: [{ baud: 75 }, { markHz: 2125, spaceHz: 2295 }] });
  const channels = knownBeacons([mission], null).map(({ baud, markHz }) => [baud, markHz]);
  expect(channels).toEqual([
    [45.45, 1275],
    [75, 1275],
    [45.45, 2125],
  ]);
});

test('missions on the same channel share a search', () => {
  const [one, other] = [missionOf({ a: FRAMES.a }), missionOf({ b: FRAMES.b })];
  const [beacon, ...others] = knownBeacons([one, other], null);
  expect(others).toEqual([]);
  expect(beacon.missionOfPattern).toEqual([one, other]);
});

test.each([
  ['no speed', { modulation: 'afsk', markHz: 1275, spaceHz: 1445 }],
  ['no tones', { modulation: 'afsk', baud: 45.45 }],
  ['a pitch that the listener chooses', { modulation: 'fsk', baud: 50, shiftHz: 450 }],
  ['tones too close for the speed', { modulation: 'afsk', baud: 300, markHz: 1275, spaceHz: 1445 }],
  ['tones that no recording carries', { modulation: 'afsk', baud: 50, markHz: 4275, spaceHz: 4445 }],
])('%s: nothing to look for', (_, beacon) => {
  expect(knownBeacons([missionOf(FRAMES, {}, { beacon })], null)).toEqual([]);
});

test('of layouts with dates those count that are in force', () => {
  const dated = (id: string, layout: unknown, dates: object) => ({ id, layout, ...dates });
  const frames = [
    dated('old', FRAMES.a, { validUntil: '2027-01-01T00:00:00Z' }),
    dated('new', FRAMES.b, { validFrom: '2027-01-01T00:00:00Z' }),
  ];
  const mission = missionOf({}, {}, { frames });
  expect(knownBeacons([mission], '2027-06-01T00:00:00Z')[0].patterns).toHaveLength(1);
  expect(knownBeacons([mission], null)[0].patterns).toHaveLength(2);
});

import { expect, test } from 'vitest';
import { knownBeacons } from '../../../decoders/frames/known-beacons.ts';
import { type Opening, openingsOf } from '../../../decoders/live/openings.ts';
import { encode } from '../../../decoders/teletype/alphabets.ts';
import { missionOf } from '../support/missions.ts';

function openingsFor(frames: Record<string, readonly unknown[]>, shifts: object = {}): readonly Opening[] {
  const [beacon] = knownBeacons([missionOf(frames, { shifts })], null);
  return openingsOf(beacon);
}

/** Whether codes could be the beginning. */
function holds({ elements }: Opening, codes: readonly number[]): boolean {
  const keyed = codes.flatMap((code) => [0, ...[0, 1, 2, 3, 4].map((bit) => (code >> bit) & 1), 1]);
  return keyed.every((element, i) => Number.isNaN(elements[i]) || elements[i] === element);
}

const HEAD = [{ text: 'Q0DUN ' }, { field: 'a', digits: 4 }];

test.each([
  ['without a shift', '', 'letters'],
  ['after one', '', 'unknown'],
  ['on a new line', '\r\n', 'letters'],
  ['on a new line, after a shift', '\r\r\n', 'unknown'],
] as const)('a frame may begin %s', (_, lineStart, startShift) => {
  const codes = encode(`${lineStart}Q0DUN 1234`, 'ita2', { startShift }).slice(0, 8);
  const other = encode(`${lineStart}Q0DUM 1234`, 'ita2', { startShift }).slice(0, 8);
  const openings = openingsFor({ a: HEAD });
  expect(openings.some((opening) => holds(opening, codes))).toBe(true);
  // The letter that differs is among the first eight characters only where little stands before it.
  if (lineStart === '') expect(openings.some((opening) => holds(opening, other))).toBe(false);
});

test('shifts are sent as often as the mission says', () => {
  const codes = encode('Q0DU', 'ita2', { startShift: 'unknown', repeatShifts: 2 }).slice(0, 8);
  expect(openingsFor({ a: HEAD }, { repeat: 2 }).some((opening) => holds(opening, codes))).toBe(true);
  expect(openingsFor({ a: HEAD }).some((opening) => holds(opening, codes))).toBe(false);
});

test('layouts that begin alike count once', () => {
  const once = openingsFor({ a: HEAD });
  const long = [...HEAD, { text: ' B' }];
  const other = [{ text: 'DE Q0DUN ' }, { field: 'a', digits: 4 }];
  expect(openingsFor({ a: HEAD, b: long })).toHaveLength(once.length);
  expect(openingsFor({ a: HEAD, b: other })).toHaveLength(2 * once.length);
});

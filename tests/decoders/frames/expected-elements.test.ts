import { describe, expect, test } from 'vitest';
import { compileMission } from '../../../decoders/frames/compiled-mission.ts';
import { expectedElements } from '../../../decoders/frames/expected-elements.ts';
import type { ElementPattern } from '../../../decoders/signal/known/types.ts';
import { encode } from '../../../decoders/teletype/alphabets.ts';
import { missionOf } from '../support/missions.ts';

function expectedOf(layout: readonly unknown[], beacon: object = {}): ElementPattern {
  const mission = missionOf({ a: layout }, beacon);
  return expectedElements(compileMission(mission)[0].graph.printed, mission.beacon);
}

/** Start, five data and stop element of each code: mark 1, space -1. */
const keyed = (codes: readonly number[]) =>
  codes.flatMap((code) => [-1, ...[0, 1, 2, 3, 4].map((bit) => ((code >> bit) & 1 ? 1 : -1)), 1]);

describe('literals', () => {
  test('are certain, with the shifts that a sender keys within them', () => {
    const { characters, expected } = expectedOf([{ text: 'Q0DUN A7 ' }]);
    const codes = encode('Q0DUN A7 ', 'ita2', { startShift: 'letters' });
    expect(characters).toBe(codes.length);
    expect([...expected]).toEqual(keyed(codes));
  });

  test('follow what a mission says of its shifts', () => {
    const shifts = { unshiftOnSpace: true, repeat: 2 };
    const codes = encode('A1 2B', 'ita2', { startShift: 'letters', unshiftOnSpace: true, repeatShifts: 2 });
    expect([...expectedOf([{ text: 'A1 2B' }], { shifts }).expected]).toEqual(keyed(codes));
  });

  test('begin with their first character, whatever the receiver was in before', () => {
    const { expected } = expectedOf([{ text: '7A' }]);
    expect([...expected]).toEqual(keyed(encode('7A', 'ita2', { startShift: 'figures' })));
  });
});

test('a field is the mean of what may stand in it', () => {
  const { characters, expected } = expectedOf([{ text: 'A' }, { field: 'f', digits: 1 }, { text: ' B' }]);
  // A, figures shift, digit, space, letters shift, B.
  expect(characters).toBe(6);
  const digit = expected.slice(14, 21);
  const marks = [0, 1, 2, 3, 4].map(
    (bit) => [...'0123456789'].filter((d) => (encode(d, 'ita2', { startShift: 'figures' })[0] >> bit) & 1).length,
  );
  expect(marks).toEqual([5, 6, 5, 2, 6]);
  for (const [bit, count] of marks.entries()) expect(digit[1 + bit]).toBeCloseTo((2 * count - 10) / 10, 9);
  expect(digit[0]).toBeCloseTo(-1, 9);
  expect(digit[6]).toBeCloseTo(1, 9);
});

test('what follows a field of varying width blurs, start and stop fade where the frame may be over', () => {
  const { characters, expected } = expectedOf([{ text: 'AB' }, { field: 'f', digits: [1, 4] }]);
  const at = (place: number, element: number) => expected[7 * place + element];
  // A, B, figures shift, first digit: certain to be there.
  for (let place = 0; place < 4; place++) expect(at(place, 0)).toBeCloseTo(-1, 9);
  for (let place = 4; place < characters; place++) {
    expect(at(place, 6)).toBeLessThan(at(place - 1, 6));
    expect(at(place, 6)).toBeCloseTo(-at(place, 0), 9);
    expect(at(place, 6)).toBeGreaterThan(0.25);
  }
});

test('a layout without end is cut', () => {
  const fields = Array.from({ length: 60 }, (_, i) => [{ field: `f${i}`, digits: 4 }, { text: ' ' }]).flat();
  expect(expectedOf([{ text: 'Q ' }, ...fields]).characters).toBe(96);
});

import { expect, test } from 'vitest';
import { compileMission } from '../../../decoders/frames/compiled-mission.ts';
import { hasOneLength } from '../../../decoders/frames/one-length.ts';
import { missionOf } from '../support/missions.ts';

const oneLength = (...layout: readonly object[]): boolean => hasOneLength(compileMission(missionOf({ a: layout }))[0]);

test('numbers of one width, whatever they say', () => {
  expect(oneLength({ text: 'Q0DUN ' }, { field: 'a', digits: 4 }, { text: ' V' }, { field: 'b', digits: 2 })).toBe(
    true,
  );
});

test('words as long, in one case', () => {
  expect(oneLength({ text: 'Q0DUN ' }, { field: 'a', oneOf: ['SAFE', 'IDLE'] }, { text: ' K' })).toBe(true);
});

test.each([
  ['numbers of varying width', { field: 'a', digits: [1, 4] }],
  ['signs that only one kind of number has', { field: 'a', digits: 4, sign: 'minus' }],
  ['words of other lengths', { field: 'a', oneOf: ['SAFE', 'NOM'] }],
  ['hex words, whose letters want shifts', { field: 'a', hex: 4 }],
  ['parts that may be missing', { optional: [{ text: 'T ' }] }],
])('not with %s', (_, part) => {
  expect(oneLength({ text: 'Q0DUN ' }, part, { text: ' K' })).toBe(false);
});

import { expect, test } from 'vitest';
import { mayBegin, mayOpen } from '../../../decoders/live/beginning.ts';
import type { OpeningReading } from '../../../decoders/live/read-opening.ts';

const KEYING = {
  baud: 45.45,
  stopElements: 1.5,
  markHz: 1275,
  spaceHz: 1445,
  driftHzPerSecond: 0,
  atSeconds: 0,
} as const;

/** Three characters at 8 dB, known and clear; `more` says otherwise. */
function reading(more: Partial<OpeningReading> = {}): OpeningReading {
  const character = [-9, 8, 8, -8, 8, -8, 9];
  return {
    starts: [0, 0.165, 0.33],
    evidence: 60,
    overText: 14,
    ebN0Db: 8,
    level: { markLevel: 2.5, spaceLevel: 2.5, noisePower: 1 },
    keying: KEYING,
    elementLlr: Float64Array.from([character, character, character].flat()),
    opening: { elements: new Float64Array(56), logPrior: 0 },
    openedSeconds: 0,
    ...more,
  };
}

test('characters that stand out of the noise before them are a beginning', () => {
  expect(mayBegin(reading(), 0)).toBe(true);
  expect(mayBegin(reading(), 1.5)).toBe(true);
});

test('what holds less than the noise before it does is none, however clear it looks', () => {
  expect(mayBegin(reading({ evidence: 130 }), 3)).toBe(false);
});

test.each([
  ['the tones are far apart in level', { level: { markLevel: 9, spaceLevel: 0.8, noisePower: 1 } }],
  ['too little speaks for it', { evidence: 20 }],
  ['it is one character', { starts: [0], elementLlr: Float64Array.from([-9, 8, 8, -8, 8, -8, 9]) }],
])('none begins where %s', (_, more) => {
  expect(mayBegin(reading(more), 0)).toBe(false);
  expect(mayOpen(reading(more))).toBe(false);
});

test('a known beginning needs less over noise, but more than any text over other text', () => {
  const faint = { evidence: 30, level: { markLevel: 1.8, spaceLevel: 1.8, noisePower: 1 } };
  expect(mayBegin(reading(faint), 0)).toBe(false);
  expect(mayOpen(reading(faint))).toBe(true);
  expect(mayOpen(reading({ ...faint, overText: 6 }))).toBe(false);
});

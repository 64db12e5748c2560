import { expect, test } from 'vitest';
import { climb } from '../../../../decoders/frames/deep/climb.ts';
import { heard, surfaceOf, TEXT } from './heard.ts';

const OFF = [
  {},
  { startSeconds: 0.003 },
  { offsetHz: 1.5 },
  { spreadHz: 2.5 },
  { driftHzPerSecond: 0.9 },
  // As many elements a character, each longer: a stop of 1.42 and not of 1.5.
  { stopElements: -0.08, elementSeconds: 0.022 * (7.5 / 7.42 - 1), offsetHz: 0.4, spreadHz: 0.5 },
  { startSeconds: -0.002, offsetHz: -1, spreadHz: 1.5, driftHzPerSecond: -0.7 },
] as const;

test('the same summit is reached from wherever demodulation may end', () => {
  const { surface, start } = surfaceOf(heard(TEXT, 'continuous', 3, 6));
  const summits = OFF.map((off) => {
    const from = { ...start };
    for (const [unknown, by] of Object.entries(off) as [keyof typeof from, number][]) from[unknown] += by;
    return climb(surface, from);
  });
  const top = Math.max(...summits.map((summit) => summit?.evidence ?? Number.NEGATIVE_INFINITY));
  for (const summit of summits) expect(summit?.evidence).toBeGreaterThan(top - 12);
});

test.each(['switched', 'random'] as const)('a sender of %s phase has no summit', (phase) => {
  const { surface, start } = surfaceOf(heard(TEXT, phase, 3, 6));
  expect(climb(surface, start)).toBeNull();
});

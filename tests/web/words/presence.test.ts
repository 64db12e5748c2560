// @vitest-environment node
import { expect, it } from 'vitest';
import { falseAlarmText } from '../../../web/words/presence.ts';

const N = '\u202f';

it.each([
  [1e-6, `at most one of 1${N}000${N}000 recordings`],
  [4.2e-5, `at most one of 20${N}000 recordings`],
  [1e-3, `at most one of 1${N}000 recordings`],
  [0.03, 'at most one of 30 recordings'],
])('a false-alarm probability of %d is said as %s: never better than it is', (probability, text) => {
  expect(falseAlarmText(probability)).toContain(text);
});

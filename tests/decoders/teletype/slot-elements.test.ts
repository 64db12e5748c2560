import { expect, test } from 'vitest';
import { elementTimes } from '../../../decoders/teletype/slot-elements.ts';

test('each character has seven elements, of which the first is space and the last mark', () => {
  const { times, known } = elementTimes(Float64Array.of(2, 3), 0.1);
  expect(times).toHaveLength(14);
  for (let i = 0; i < 14; i++) expect(times[i]).toBeCloseTo((i < 7 ? 2 : 3) + 0.1 * (i % 7), 12);
  const either = new Array(5).fill(Number.NaN);
  expect([...known]).toEqual([0, ...either, 1, 0, ...either, 1]);
});

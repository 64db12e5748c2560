import { expect, it } from 'vitest';
import { enumerated } from '../../../web/words/enumerated.ts';

it.each([
  [[], ''],
  [['a'], 'a'],
  [['a', 'b'], 'a and b'],
  [['a', 'b', 'c'], 'a, b and c'],
])('%j is said as "%s"', (words, said) => {
  expect(enumerated(words)).toBe(said);
});

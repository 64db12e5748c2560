import { expect, test } from 'vitest';
import { conditionHolds } from '../../../decoders/engineering/conditions.ts';
import type { Condition } from '../../../decoders/mission/types.ts';

const number = (value: number) => ({ number: value, word: null });
const word = (value: string) => ({ number: null, word: value });

test.each<[Omit<Condition, 'parameter'>, { number: number | null; word: string | null } | null, boolean | null]>([
  [{ above: 0 }, number(0.1), true],
  [{ above: 0 }, number(0), false],
  [{ below: 0 }, number(0), false],
  [{ below: 0 }, number(-1), true],
  [{ above: 0, below: 10 }, number(5), true],
  [{ above: 0, below: 10 }, number(10), false],
  [{ equals: 3 }, number(3), true],
  [{ equals: 3 }, number(4), false],
  [{ equals: 'SAFE' }, word('SAFE'), true],
  [{ equals: 'SAFE' }, word('NOM'), false],
  [{ equals: 'on' }, { number: 1, word: 'on' }, true],
  [{ equals: 1 }, { number: 1, word: 'on' }, true],
  [{ equals: 'on' }, { number: 7, word: null }, false],
  [{ above: 0 }, word('SAFE'), null],
  [{ above: 0 }, { number: null, word: null }, null],
  [{ equals: 'SAFE' }, null, null],
])('%j of %j is %s', (condition, known, expected) => {
  expect(conditionHolds({ parameter: 'p', ...condition }, known)).toBe(expected);
});

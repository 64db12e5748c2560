import { expect, test } from 'vitest';
import { overallOf } from '../../../server/health/overall.ts';

test('the worst parameter decides, and all that are outside are named', () => {
  const normal = { parameter: 'a', state: 'normal' as const };
  const soft = { parameter: 'b', state: 'soft' as const };
  const hard = { parameter: 'c', state: 'hard' as const };
  expect(overallOf([normal])).toEqual({ state: 'steady', concerns: [] });
  expect(overallOf([normal, soft])).toEqual({ state: 'look', concerns: ['b'] });
  expect(overallOf([soft, normal, hard])).toEqual({ state: 'act', concerns: ['c', 'b'] });
});

test('nothing known is not called steady', () => {
  expect(overallOf([]).state).toBe('unknown');
  expect(overallOf([{ parameter: 'a', state: null }]).state).toBe('unknown');
});

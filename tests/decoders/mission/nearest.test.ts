import { describe, expect, test } from 'vitest';
import { nearest, oneOfHint } from '../../../decoders/mission/nearest.ts';

const keys = ['id', 'digits', 'decimals', 'hex', 'unit', 'polynomial'];

describe('nearest', () => {
  test.each([
    ['digit', 'digits'],
    ['digist', 'digits'],
    ['Unit', 'unit'],
    ['polinomial', 'polynomial'],
    ['hx', 'hex'],
    ['di', 'id'],
  ])('%s means %s', (word, meant) => expect(nearest(word, keys)).toBe(meant));

  test('nothing is near to a different word', () => {
    expect(nearest('banana', keys)).toBeNull();
    expect(nearest('', keys)).toBeNull();
    expect(nearest('x'.repeat(10_000), keys)).toBeNull();
  });
});

test('oneOfHint names the likely one and all others', () => {
  expect(oneOfHint('digts', keys)).toBe(
    'did you mean "digits"? It may be one of id, digits, decimals, hex, unit, polynomial',
  );
  expect(oneOfHint('banana', keys)).toBe('one of id, digits, decimals, hex, unit, polynomial');
});

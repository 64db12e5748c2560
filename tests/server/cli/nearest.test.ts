import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { editDistance, nearest } from '../../../server/cli/nearest.ts';

describe('editDistance', () => {
  test.each([
    ['decode', 'decode', 0],
    ['decod', 'decode', 1],
    ['deocde', 'decode', 1],
    ['kitten', 'sitting', 3],
    ['', 'serve', 5],
  ])('from %s to %s', (a, b, distance) => {
    expect(editDistance(a, b)).toBe(distance);
  });

  test('is the same both ways, zero only for equals, and no more than the longer word', () => {
    const word = fc.string({ maxLength: 12 });
    fc.assert(
      fc.property(word, word, (a, b) => {
        const distance = editDistance(a, b);
        expect(distance).toBe(editDistance(b, a));
        expect(distance === 0).toBe(a === b);
        expect(distance).toBeLessThanOrEqual(Math.max(a.length, b.length));
      }),
    );
  });
});

describe('nearest', () => {
  const commands = ['decode', 'read', 'check', 'serve'];
  test.each([
    ['decdoe', 'decode'],
    ['SERVER', 'serve'],
    ['raed', 'read'],
  ])('to %s is %s', (word, expected) => {
    expect(nearest(word, commands, (name) => name)).toBe(expected);
  });

  test('is nothing among nothing', () => {
    expect(nearest('decode', [], (name: string) => name)).toBeUndefined();
  });
});

import { describe, expect, test } from 'vitest';
import { resolveSequence } from '../../../decoders/frames/sequence.ts';

describe('resolveSequence', () => {
  const sequence = ['a', 'b', 'c'];

  test('one certain frame settles its neighbours', () => {
    expect(resolveSequence(sequence, [['a', 'b'], ['c'], ['a', 'b']])).toEqual(['b', 'c', 'a']);
  });

  test('a whole sequence is taken to begin with its first frame', () => {
    expect(
      resolveSequence(
        ['a', 'b'],
        [
          ['a', 'b'],
          ['a', 'b'],
        ],
      ),
    ).toEqual(['a', 'b']);
  });

  test('too little is left open', () => {
    expect(resolveSequence(sequence, [['a', 'b']])).toEqual([null]);
  });

  test('an order that fits nowhere leaves what the layouts say', () => {
    expect(resolveSequence(sequence, [['c'], ['c'], ['a', 'b']])).toEqual(['c', 'c', null]);
  });
});

import { describe, expect, test } from 'vitest';
import { completeFieldText } from '../../../decoders/frames/complete-field.ts';
import { compileGraph } from '../../../decoders/frames/printed-graph.ts';
import type { WrittenCharacter } from '../../../decoders/frames/write-candidate.ts';
import { missionOf } from '../support/missions.ts';

const [frame] = missionOf({
  a: [
    { text: 'V' },
    { field: 'v', digits: [2, 4] },
    { text: ' ' },
    { field: 'w', oneOf: ['NOM', 'NOMINAL', 'SAFE'] },
    { text: ' K' },
  ],
}).frames;
const PRINTED = compileGraph(frame);

/** Characters of a field with what stands before and after. */
function characters(before: string, field: string, text: string, after: string): WrittenCharacter[] {
  const of = (owner: WrittenCharacter['owner']) => (character: string) => ({ character, owner, slot: 0, edge: 0 });
  return [
    ...Array.from(before, of({ kind: 'space' })),
    ...Array.from(text, of({ kind: 'field', field })),
    ...Array.from(after, of({ kind: 'space' })),
  ];
}

const CUT = { startsWhole: false, endsWhole: false };

describe('in a frame whose end is cut', () => {
  test.each([
    ['v', '12', null],
    ['v', '123', null],
    ['v', '1234', '1234'],
    ['w', 'NOM', null],
    ['w', 'NOMINAL', 'NOMINAL'],
    ['w', 'SAFE', 'SAFE'],
  ])('%s, of which %s was heard last', (field, text, told) => {
    expect(completeFieldText(PRINTED, characters(' ', field, text, ''), CUT, field)).toBe(told);
  });

  test('what stands before the cut is whole', () => {
    expect(completeFieldText(PRINTED, characters(' ', 'v', '12', ' '), CUT, 'v')).toBe('12');
  });
});

describe('in a frame whose beginning is cut', () => {
  test.each([
    ['v', '12', null],
    ['v', '123', null],
    ['v', '1234', '1234'],
    ['w', 'NAL', null],
    ['w', 'NOM', 'NOM'],
    ['w', 'FE', null],
  ])('%s, of which %s was heard first', (field, text, told) => {
    expect(completeFieldText(PRINTED, characters('', field, text, ' '), CUT, field)).toBe(told);
  });
});

test('a whole frame begins and ends with whole fields', () => {
  const whole = { startsWhole: true, endsWhole: true };
  expect(completeFieldText(PRINTED, characters('', 'v', '12', ''), whole, 'v')).toBe('12');
});

test('a field of which nothing was heard has no text', () => {
  expect(completeFieldText(PRINTED, characters(' ', 'v', '12', ' '), CUT, 'w')).toBeNull();
});

import { expect, test } from 'vitest';
import { AGAINST_NOTE, CONTRADICTED_NOTE } from '../../../decoders/frames/notes.ts';
import { isSettled } from '../../../decoders/frames/settled.ts';
import type { DecodedFrame } from '../../../decoders/frames/types.ts';

const frame = (trust: DecodedFrame['trust'], checksum: DecodedFrame['checksum'], ...notes: string[]) =>
  isSettled({
    frame: 'a',
    text: '',
    startSeconds: 0,
    endSeconds: 1,
    complete: true,
    checksum,
    trust,
    confidence: 0.5,
    fields: {},
    characters: [],
    decision: { posterior: 0.5, foreignNatsPerCharacter: 0, repaired: false, notes },
  });

test('what cannot be trusted more needs no closer look', () => {
  expect(frame('confirmed', 'pass')).toBe(true);
  expect(frame('probable', 'none')).toBe(true);
  expect(frame('doubtful', 'fail', CONTRADICTED_NOTE)).toBe(true);
});

test('what is in doubt, or is spoken against, may be read otherwise through the phase', () => {
  expect(frame('probable', 'pass')).toBe(false);
  expect(frame('doubtful', 'none')).toBe(false);
  expect(frame('doubtful', 'none', CONTRADICTED_NOTE)).toBe(false);
  expect(frame('doubtful', 'none', AGAINST_NOTE)).toBe(false);
});

test('whose name is open is not helped by a closer look', () => {
  expect(frame('doubtful', 'none', 'order-unknown')).toBe(true);
});

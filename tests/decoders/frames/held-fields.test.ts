import { expect, test } from 'vitest';
import { fieldsHeld } from '../../../decoders/frames/held-fields.ts';
import { compileGraph, type PrintedGraph } from '../../../decoders/frames/printed-graph.ts';
import type { WrittenCharacter } from '../../../decoders/frames/write-candidate.ts';
import { missionOf } from '../support/missions.ts';

const layout = (...parts: readonly object[]): PrintedGraph => compileGraph(missionOf({ a: parts }).frames[0]);

const NUMBERS = layout(
  { text: 'Q0DUN ' },
  { field: 'a', digits: 2 },
  { text: ' ' },
  { field: 'b', digits: 2 },
  { text: ' ' },
  { field: 'c', digits: 2 },
);
const LABELS = layout(
  { text: 'V' },
  { field: 'a', digits: 2 },
  { text: ' I' },
  { field: 'b', digits: 2 },
  { text: ' V' },
  { field: 'c', digits: 2 },
);

/** `text` from the start of the layout on (layouts here read one way only), one slot a character. */
function walk(printed: PrintedGraph, text: string, from = 0): WrittenCharacter[] {
  let node = from;
  return [...text].map((character, slot) => {
    const edge = printed.outgoing[node].find((each) => printed.edges[each].characters.includes(character));
    if (edge === undefined) throw new Error(`no ${character} here`);
    node = printed.edges[edge].to;
    return { character, owner: printed.edges[edge].owner, slot, edge };
  });
}

/** The fields that are held; `?` in `marks` stands for a character that is not clear. */
function held(
  printed: PrintedGraph,
  text: string,
  { marks = '', lostBefore = Number.POSITIVE_INFINITY, from = 0 } = {},
): string {
  const characters = walk(printed, text, from);
  const startSeconds = Float64Array.from(characters, (_, i) => 0.165 * (i < lostBefore ? i : i + 5));
  const confidences = characters.map((_, i) => (marks[i] === '?' ? 0.9 : 0.999));
  const isHeld = fieldsHeld(printed, characters, confidences, { startSeconds, count: characters.length });
  const fields = new Set(characters.flatMap(({ owner }) => (owner.kind === 'field' ? [owner.field] : [])));
  return [...fields].filter(isHeld).join(' ');
}

test('a clear piece is held from its call sign on', () => {
  expect(held(NUMBERS, 'Q0DUN 12 34')).toBe('a b');
});

test('nothing is held behind a character that was not clear', () => {
  expect(held(NUMBERS, 'Q0DUN 12 34 56', { marks: '       ?' })).toBe('');
  expect(held(NUMBERS, 'Q0DUN 12 34 56', { marks: '          ?' })).toBe('a');
});

test('what stands next to something unclear may have been longer', () => {
  expect(held(NUMBERS, 'Q0DUN 12 34 56', { marks: '        ?' })).toBe('');
});

test('nothing is held behind a hole in time', () => {
  expect(held(NUMBERS, 'Q0DUN 12 34 56', { lostBefore: 9 })).toBe('a');
});

test('a call sign of which a letter is not clear holds nothing', () => {
  expect(held(NUMBERS, 'Q0DUN 12', { marks: '  ?' })).toBe('');
});

test('digits alone hold nothing', () => {
  const afterCallSign = NUMBERS.edges.find(({ owner }) => owner.kind === 'field')?.from ?? 0;
  expect(held(NUMBERS, '12 34 56', { from: afterCallSign })).toBe('');
});

test('a label holds its number, also past what was not clear; one that stands twice does not', () => {
  expect(held(LABELS, 'V12 I34', { marks: ' ?' })).toBe('b');
  expect(held(LABELS, 'V12 I34 V56', { marks: '   ?   ?' })).toBe('');
});

// @vitest-environment node
import { expect, it } from 'vitest';
import { sentence } from '../../../web/words/sentence.ts';

it.each([
  ['there is no recording r9; it may have been deleted', 'There is no recording r9; it may have been deleted.'],
  ['The server cannot be reached.', 'The server cannot be reached.'],
  ['dunlin-1 is read with a key only', 'dunlin-1 is read with a key only.'],
  ['body/text must be string', 'body/text must be string.'],
])('makes a sentence of "%s"', (message, said) => {
  expect(sentence(message)).toBe(said);
});

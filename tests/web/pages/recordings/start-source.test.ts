import { expect, test } from 'vitest';
import { startSourceText } from '../../../../web/pages/recordings/start-source.ts';

test.each([
  ['sender', 'its sender'],
  ['file name', 'the name of its file'],
  ['file name, corrected', 'the name of its file, corrected by its sender'],
  ['bext', 'the recorder’s note in the file (bext)'],
  ['LIST ICRD', 'the date in the file (LIST ICRD)'],
  ['comment DATE', 'a comment in the file (DATE)'],
  ['SigMF core:datetime', 'the SigMF metadata (core:datetime)'],
  ['something new', 'the file (something new)'],
])('%s is told as: %s', (source, words) => {
  expect(startSourceText(source)).toBe(words);
});

// @vitest-environment node
import { describe, expect, it } from 'vitest';
import { expectedText } from '../../../web/words/expected.ts';

describe('what may stand somewhere', () => {
  it.each([
    ['0123456789', 'a digit'],
    ['9876543210-', 'a digit or a minus'],
    ['ABCDEF0123456789', 'a hex digit'],
    ['Q', '“Q”'],
    [' ', 'a space'],
    ['TPH', 'one of “H”, “P” or “T”'],
    ['', 'the end of the line'],
  ])('%s is %s', (characters, words) => {
    expect(expectedText(characters)).toBe(words);
  });
});

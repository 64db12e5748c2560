import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { charactersOf, encode } from '../../../decoders/teletype/alphabets.ts';
import { DOUBTFUL_MARK, printSoft } from '../../../decoders/teletype/print.ts';
import ita2 from '../../reference/ita2.json' with { type: 'json' };
import { certain } from '../support/soft.ts';

describe('printSoft', () => {
  // tests/reference/ita2.json, `examples`: ITU-T Rec. S.1 and common US-TTY tables.
  test.each(ita2.examples)('prints $text ($variant)', ({ text, variant, codes }) => {
    const alphabet = variant === 'us_tty' ? 'us-tty' : 'ita2';
    expect(printSoft(certain(codes), { alphabet }).text).toBe(text);
  });

  test.each(['ita2', 'us-tty'] as const)('prints back whatever %s can send', (alphabet) => {
    const table = charactersOf(alphabet);
    const characters = [...new Set([...table.letters, ...table.figures])].filter((c) => c > ' ');
    fc.assert(
      fc.property(fc.array(fc.constantFrom(...characters, ' '), { minLength: 1, maxLength: 60 }), (sent) => {
        const codes = encode(sent.join(''), alphabet, { startShift: 'unknown' });
        expect(printSoft(certain(codes), { alphabet, unshiftOnSpace: false }).text).toBe(sent.join(''));
      }),
    );
  });

  test('tells US-TTY by signs that ITA2 does not have', () => {
    const codes = encode('COST $5 & UP', 'us-tty', { startShift: 'unknown' });
    expect(printSoft(certain(codes))).toMatchObject({ alphabet: 'us-tty', text: 'COST $5 & UP' });
  });

  test('takes a needless figures shift after a space as a sign that spaces unshift', () => {
    const text = '12 AB 34 56 CD';
    const codes = encode(text, 'ita2', { unshiftOnSpace: true, startShift: 'unknown' });
    expect(printSoft(certain(codes))).toMatchObject({ unshiftOnSpace: true, text });
  });

  test('does not assume that spaces unshift', () => {
    const text = '12 34 AB 56 78';
    expect(printSoft(certain(encode(text, 'ita2', { startShift: 'unknown' })))).toMatchObject({
      unshiftOnSpace: false,
      text,
    });
  });

  test('gives both readings where nothing decides', () => {
    const codes = encode('12 34', 'ita2', { startShift: 'unknown' });
    expect(printSoft(certain(codes))).toMatchObject({ text: '12 34', alternativeText: '12 ER' });
  });

  test('marks a character that cannot be told', () => {
    const soft = certain(encode('ABC', 'ita2'));
    soft.elementLlr.fill(0.1, 7, 14);
    const printed = printSoft(soft);
    expect(printed.text).toBe(`A${DOUBTFUL_MARK}C`);
    expect(printed.characters[1].confidence).toBeLessThan(0.7);
    expect(printed.characters[2].confidence).toBeGreaterThan(0.8);
  });

  test('prints carriage return and line feed as one line end, blanks and bells not at all', () => {
    const codes = [3, 8, 2, 25, 0, 31, 14];
    expect(printSoft(certain(codes)).text).toBe('A\nBC');
  });
});

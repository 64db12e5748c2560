import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  CODE_CR,
  CODE_FIGS,
  CODE_LF,
  CODE_LTRS,
  CODE_NUL,
  CODE_SPACE,
  charactersOf,
  encode,
  findCodes,
} from '../../../decoders/teletype/alphabets.ts';
// ITU-T (CCITT) Rec. S.1 (11/1988); US TTY figures as in common reference tables.
import reference from '../../reference/ita2.json' with { type: 'json' };

const UNPRINTED = new Set(['NUL', 'LF', 'CR', 'FIGS', 'LTRS', 'BEL', 'WRU', 'NAT_F', 'NAT_G', 'NAT_H']);
const printed = (name: string) => (name === 'SP' ? ' ' : UNPRINTED.has(name) ? '' : name);

describe('tables', () => {
  test('agree with Rec. S.1, row by row', () => {
    expect(reference.rows).toHaveLength(32);
    for (const row of reference.rows) {
      expect(row.bits_first_to_last.reduce((sum, bit, i) => sum + bit * 2 ** i, 0)).toBe(row.code);
      expect(charactersOf('ita2').letters[row.code]).toBe(printed(row.letters));
      expect(charactersOf('ita2').figures[row.code]).toBe(printed(row.figures));
      expect(charactersOf('us-tty').letters[row.code]).toBe(printed(row.letters));
      expect(charactersOf('us-tty').figures[row.code]).toBe(printed(row.us_tty_figures));
    }
  });

  test('control codes are those of Rec. S.1', () => {
    const codeOf = (name: string) => reference.rows.find((row) => row.letters === name)?.code;
    expect([CODE_NUL, CODE_LF, CODE_SPACE, CODE_CR, CODE_FIGS, CODE_LTRS]).toEqual(
      ['NUL', 'LF', 'SP', 'CR', 'FIGS', 'LTRS'].map(codeOf),
    );
  });

  test('findCodes is the inverse of the table', () => {
    for (const alphabet of ['ita2', 'us-tty'] as const) {
      const table = charactersOf(alphabet);
      for (const shift of ['letters', 'figures'] as const) {
        table[shift].forEach((character, code) => {
          if (character === ' ') expect(findCodes(' ', alphabet)).toEqual({ code: CODE_SPACE, shift: 'both' });
          else if (character !== '') expect(findCodes(character, alphabet)).toEqual({ code, shift });
        });
      }
    }
    expect(findCodes('+', 'us-tty')).toBeNull();
    expect(findCodes('#', 'ita2')).toBeNull();
    expect(findCodes('_', 'ita2')).toBeNull();
    expect(findCodes('', 'ita2')).toBeNull();
    expect(findCodes('a', 'ita2')).toBeNull();
  });
});

describe('encode', () => {
  test.each(reference.examples)('$text', ({ text, variant, codes }) => {
    expect(encode(text, variant === 'us_tty' ? 'us-tty' : 'ita2')).toEqual(codes);
  });

  test('sends a shift first when the case of the receiver is unknown', () => {
    expect(encode('A', 'ita2', { startShift: 'unknown' })).toEqual([CODE_LTRS, 3]);
    expect(encode(' 3', 'ita2', { startShift: 'unknown' })).toEqual([CODE_SPACE, CODE_FIGS, 1]);
    expect(encode('3', 'ita2', { startShift: 'figures' })).toEqual([1]);
  });

  test('shifts again after a space when the receiver unshifts', () => {
    expect(encode('1 2', 'ita2', { unshiftOnSpace: true })).toEqual([CODE_FIGS, 23, CODE_SPACE, CODE_FIGS, 19]);
  });

  test('repeats shifts and keys line ends', () => {
    expect(encode('\r\n1', 'ita2', { repeatShifts: 2 })).toEqual([CODE_CR, CODE_LF, CODE_FIGS, CODE_FIGS, 23]);
  });

  test('names the character that cannot be sent', () => {
    expect(() => encode('A+', 'us-tty')).toThrow(/"\+" is no character of the us-tty alphabet/);
    expect(() => encode('a', 'ita2')).toThrow(expect.objectContaining({ code: 'character-not-in-alphabet' }));
  });

  test('reads back to the same text by a receiver that follows the shifts', () => {
    const alphabet = fc.constantFrom('ita2' as const, 'us-tty' as const);
    const text = (name: 'ita2' | 'us-tty') => {
      const table = charactersOf(name);
      const all = [...new Set([...table.letters, ...table.figures])].filter((c) => c !== '');
      return fc.array(fc.constantFrom(...all)).map((characters) => characters.join(''));
    };
    fc.assert(
      fc.property(
        alphabet.chain((name) => fc.tuple(fc.constant(name), text(name))),
        fc.boolean(),
        fc.integer({ min: 1, max: 3 }),
        ([name, sent], unshiftOnSpace, repeatShifts) => {
          const table = charactersOf(name);
          let shift: 'letters' | 'figures' = 'figures';
          let received = '';
          for (const code of encode(sent, name, { unshiftOnSpace, repeatShifts, startShift: 'unknown' })) {
            if (code === CODE_LTRS) shift = 'letters';
            else if (code === CODE_FIGS) shift = 'figures';
            else received += table[shift][code];
            if (unshiftOnSpace && code === CODE_SPACE) shift = 'letters';
          }
          expect(received).toBe(sent);
        },
      ),
    );
  });
});

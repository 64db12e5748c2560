import { FiveunitError } from '../errors.ts';
import type { Alphabet } from '../mission/types.ts';

/*
 * A code is b1 + 2 b2 + 4 b3 + 8 b4 + 16 b5 with mark = 1; b1 is the element sent first (ITU-T Rec. S.1).
 */
export const CODE_NUL = 0;
export const CODE_LF = 2;
export const CODE_SPACE = 4;
export const CODE_CR = 8;
export const CODE_FIGS = 27;
export const CODE_LTRS = 31;

/** Printed character of each of the 32 codes in either case; '' for codes that print nothing. */
export interface AlphabetTable {
  readonly letters: readonly string[];
  readonly figures: readonly string[];
}

/** Where a character stands in an alphabet; `both` for those that are the same in letters and figures case. */
export interface CodeOfCharacter {
  readonly code: number;
  readonly shift: 'letters' | 'figures' | 'both';
}

export interface EncodeOptions {
  /** The receiver falls back to letters at every space, so figures need a new shift after it. Default false. */
  readonly unshiftOnSpace?: boolean;
  /** Case the receiver is in before the first code; `unknown` sends a shift before the first shifted character. Default letters. */
  readonly startShift?: 'letters' | 'figures' | 'unknown';
  /** How often each shift code is sent. Default 1. */
  readonly repeatShifts?: number;
}

// One character a code, 0 to 31; '_' prints nothing. ITU-T Rec. S.1 (11/1988); US-TTY as in common reference tables.
// Figures case of F, G and H is left to national use in S.1: it prints nothing here.
const LETTERS = '_E_A SIU_DRJNFCKTZLWHYPQOBG_MXV_';
const ITA2_FIGURES = "_3_- '87__4_,_:(5+)2_6019?__./=_";
const US_TTY_FIGURES = '_3_- _87_$4\',!:(5")2#6019?&_./;_';

const TABLES: Readonly<Record<Alphabet, AlphabetTable>> = {
  ita2: { letters: rowOf(LETTERS), figures: rowOf(ITA2_FIGURES) },
  'us-tty': { letters: rowOf(LETTERS), figures: rowOf(US_TTY_FIGURES) },
};

const CODES: Readonly<Record<Alphabet, ReadonlyMap<string, CodeOfCharacter>>> = {
  ita2: codesOf(TABLES.ita2),
  'us-tty': codesOf(TABLES['us-tty']),
};

/** The printed characters of an alphabet. */
export function charactersOf(alphabet: Alphabet): AlphabetTable {
  return TABLES[alphabet];
}

/** Code and case that print `character` (upper case; `\r` and `\n` are the line ends); null when nothing prints it. */
export function findCodes(character: string, alphabet: Alphabet): CodeOfCharacter | null {
  return CODES[alphabet].get(character) ?? null;
}

/**
 * The codes that a sender keys for `text`, with a shift only where the case changes.
 * Throws `character-not-in-alphabet` for a character that the alphabet does not have (lower case is not folded).
 */
export function encode(text: string, alphabet: Alphabet, options: EncodeOptions = {}): number[] {
  const { unshiftOnSpace = false, startShift = 'letters', repeatShifts = 1 } = options;
  const codes: number[] = [];
  let shift = startShift;
  for (const character of text) {
    const found = findCodes(character, alphabet);
    if (found === null) {
      throw new FiveunitError(
        'character-not-in-alphabet',
        `${JSON.stringify(character)} is no character of the ${alphabet} alphabet; it has A-Z, 0-9, space and ${signsOf(alphabet)}`,
      );
    }
    if (found.shift !== 'both' && found.shift !== shift) {
      for (let i = 0; i < repeatShifts; i++) codes.push(found.shift === 'letters' ? CODE_LTRS : CODE_FIGS);
      shift = found.shift;
    }
    codes.push(found.code);
    if (unshiftOnSpace && found.code === CODE_SPACE) shift = 'letters';
  }
  return codes;
}

/** The characters of an alphabet that are neither letters, digits nor space, in one string. */
export function signsOf(alphabet: Alphabet): string {
  return TABLES[alphabet].figures.filter((character) => character !== '' && !/[0-9 ]/.test(character)).join('');
}

function rowOf(characters: string): string[] {
  return Array.from(characters, (character) => (character === '_' ? '' : character));
}

function codesOf(table: AlphabetTable): Map<string, CodeOfCharacter> {
  const codes = new Map<string, CodeOfCharacter>([
    ['\r', { code: CODE_CR, shift: 'both' }],
    ['\n', { code: CODE_LF, shift: 'both' }],
  ]);
  for (let code = 0; code < 32; code++) {
    const letter = table.letters[code];
    const figure = table.figures[code];
    if (letter !== '') codes.set(letter, { code, shift: letter === figure ? 'both' : 'letters' });
    if (figure !== '' && figure !== letter) codes.set(figure, { code, shift: 'figures' });
  }
  return codes;
}

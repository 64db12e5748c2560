import type { Alphabet } from '../mission/types.ts';
import { CODE_FIGS, CODE_LTRS, findCodes } from '../teletype/alphabets.ts';
import { ELEMENTS_PER_SLOT } from '../teletype/soft-characters.ts';
import type { SoftCharacters } from '../teletype/types.ts';

/** Typed text as soft characters, so that one search reads what was heard and what was typed. */
export interface TypedSlots {
  readonly soft: SoftCharacters;
  /** Place in the typed text of each slot's character; shifts have that of the character after them. */
  readonly placeOfSlot: readonly number[];
  /** Stable codes of what had to be assumed, each once. */
  readonly assumptions: readonly string[];
}

/** Typed characters are taken at their word: strong enough that no checksum may turn one (16 bits are worth 11 nats). */
const TYPED_LLR = 18;
/** The case that a printout shows is only as good as the last shift that was received. */
const SHIFT_LLR = 3;
/** What people and programs put where they could not read; `?` is a character of the alphabets too. */
const UNKNOWN_MARKS = '_?*#~^|\u00b7\u2022\u25a1\ufffd';
/** The element by which letters shift (11111) and figures shift (11011) differ. */
const SHIFT_ELEMENT = 3;

/** What people put between words, which no beacon sends there. */
const SEPARATORS = ',;/.';

/**
 * Lower case counts as upper; what the alphabet lacks counts as unknown. Shifts are put in where a case begins.
 *
 * @param printed all characters that the beacon may print.
 */
export function typedSlots(text: string, alphabet: Alphabet, printed: ReadonlySet<string>): TypedSlots {
  const rows: number[][] = [];
  const places: number[] = [];
  const assumptions = new Set<string>();
  let shift: 'letters' | 'figures' | null = null;
  let afterGap = true;
  const characters = Array.from(text);
  for (const [place, typed] of characters.entries()) {
    const character = normalised(typed, printed, assumptions);
    const unknown = unknownAs(character, characters, place);
    const found = unknown === null ? findCodes(character, alphabet) : null;
    if (!found) {
      assumptions.add(unknown ?? 'character-not-in-alphabet');
      // It may be of either case, and what stands behind it has a case of its own again.
      const eitherShift = rowOf(CODE_LTRS);
      eitherShift[SHIFT_ELEMENT] = 0;
      rows.push(eitherShift, new Array<number>(ELEMENTS_PER_SLOT).fill(0));
      places.push(place, place);
      shift = null;
      continue;
    }
    if (found.shift !== 'both' && (afterGap || found.shift !== shift)) {
      shift = found.shift;
      const row = rowOf(shift === 'letters' ? CODE_LTRS : CODE_FIGS);
      row[SHIFT_ELEMENT] = shift === 'letters' ? SHIFT_LLR : -SHIFT_LLR;
      rows.push(row);
      places.push(place);
    }
    afterGap = found.shift === 'both';
    rows.push(rowOf(found.code));
    places.push(place);
  }
  return {
    soft: {
      count: rows.length,
      startSeconds: new Float64Array(rows.length),
      elementLlr: Float32Array.from(rows.flat()),
    },
    placeOfSlot: places,
    assumptions: [...assumptions],
  };
}

/** Typed for 0 and 1, and as letters they would be the 9 and the 8 of a receiver that missed a shift. */
const LIKE_DIGITS = 'OI';

/** Why a typed character says nothing of what was received; null where it does. */
function unknownAs(character: string, text: readonly string[], place: number): string | null {
  if (UNKNOWN_MARKS.includes(character)) return 'unknown-character';
  const isInNumber = LIKE_DIGITS.includes(character) && isDigit(text[place - 1]) && isDigit(text[place + 1]);
  return isInNumber ? 'letter-in-number' : null;
}

function isDigit(character: string | undefined): boolean {
  return character !== undefined && character >= '0' && character <= '9';
}

function normalised(typed: string, printed: ReadonlySet<string>, assumptions: Set<string>): string {
  if (typed === '\t' || typed === '\u00a0') return ' ';
  if (SEPARATORS.includes(typed) && !printed.has(typed)) {
    assumptions.add('separator');
    return ' ';
  }
  if (typed === '\u2212' || typed === '\u2013') return '-';
  const upper = typed.toUpperCase();
  if (upper !== typed) assumptions.add('lower-case');
  return upper;
}

function rowOf(code: number): number[] {
  const row = [-TYPED_LLR];
  for (let bit = 0; bit < 5; bit++) row.push((code >> bit) & 1 ? TYPED_LLR : -TYPED_LLR);
  row.push(TYPED_LLR);
  return row;
}

import type { Alphabet } from '../mission/types.ts';
import { type AlphabetTable, CODE_CR, CODE_FIGS, CODE_LF, CODE_LTRS, CODE_SPACE, charactersOf } from './alphabets.ts';
import { CODE_COUNT, codeLogPosteriors } from './soft-characters.ts';
import type { PrintedCharacter, SoftCharacters } from './types.ts';

/** Stands for a character that was sent but cannot be told; no character of either alphabet. */
export const DOUBTFUL_MARK = '_';
/** Less sure than this, and a character is marked, not printed. */
export const PRINTED_CONFIDENCE = 0.7;

export interface PrintOptions {
  /** Decided from the signal when left out. */
  readonly alphabet?: Alphabet;
  /** Whether a space returns the receiver to letters; decided from the signal when left out. */
  readonly unshiftOnSpace?: boolean;
}

export interface Printed {
  readonly text: string;
  readonly characters: readonly PrintedCharacter[];
  readonly alphabet: Alphabet;
  readonly unshiftOnSpace: boolean;
  /** The text under the other reading of spaces, where nothing in the signal decides and it differs. */
  readonly alternativeText: string | null;
}

/**
 * Prints soft characters as a machine without knowledge of the message would: letters and figures shifts followed as
 * probabilities, each character with the probability that it was sent. Non-printing codes print nothing; line ends
 * become one `\n`.
 */
export function printSoft(soft: SoftCharacters, options: PrintOptions = {}): Printed {
  const probabilities = codeProbabilities(soft);
  const alphabet = options.alphabet ?? likelyAlphabet(probabilities, soft.count);
  const votes = unshiftVotes(probabilities, soft.count);
  const unshiftOnSpace = options.unshiftOnSpace ?? votes > 0;
  const characters = printAs(probabilities, soft.count, alphabet, unshiftOnSpace);
  const text = textOf(characters);
  let alternativeText: string | null = null;
  if (options.unshiftOnSpace === undefined && votes === 0) {
    const other = textOf(printAs(probabilities, soft.count, alphabet, !unshiftOnSpace));
    if (other !== text) alternativeText = other;
  }
  return { text, characters, alphabet, unshiftOnSpace, alternativeText };
}

function textOf(characters: readonly PrintedCharacter[]): string {
  return characters.map((character) => character.text).join('');
}

function codeProbabilities(soft: SoftCharacters): Float64Array {
  const out = new Float64Array(soft.count * CODE_COUNT);
  for (let slot = 0; slot < soft.count; slot++) {
    const row = out.subarray(slot * CODE_COUNT, (slot + 1) * CODE_COUNT);
    codeLogPosteriors(soft, slot, row);
    for (let code = 0; code < CODE_COUNT; code++) row[code] = Math.exp(row[code]);
  }
  return out;
}

/** Until the first shift, a sender is more likely in letters case: printers rest there (common practice). */
const LETTERS_AT_START = 0.9;

function printAs(
  probabilities: Float64Array,
  count: number,
  alphabet: Alphabet,
  unshiftOnSpace: boolean,
): PrintedCharacter[] {
  const { letters, figures } = printedBy(alphabet);
  const printed: PrintedCharacter[] = [];
  let inLetters = LETTERS_AT_START;
  const chances = new Map<string, number>();
  let lineEnded = false;
  for (let slot = 0; slot < count; slot++) {
    const row = slot * CODE_COUNT;
    chances.clear();
    for (let code = 0; code < CODE_COUNT; code++) {
      const p = probabilities[row + code];
      chances.set(letters[code], (chances.get(letters[code]) ?? 0) + p * inLetters);
      chances.set(figures[code], (chances.get(figures[code]) ?? 0) + p * (1 - inLetters));
    }
    const best = likeliest(chances);
    const lineEnd = best.text === '\n';
    let text = best.confidence < PRINTED_CONFIDENCE ? DOUBTFUL_MARK : best.text;
    if (text === '\n' && lineEnded) text = '';
    lineEnded = lineEnd;
    if (text !== '') printed.push({ text, slot, confidence: best.confidence });
    inLetters = nextInLetters(probabilities, row, inLetters, unshiftOnSpace);
  }
  return printed;
}

/** The alphabet's characters, with either code of a line end printing one. */
function printedBy(alphabet: Alphabet): AlphabetTable {
  const { letters, figures } = charactersOf(alphabet);
  const withEnds = (row: readonly string[]) =>
    row.map((character, code) => (code === CODE_CR || code === CODE_LF ? '\n' : character));
  return { letters: withEnds(letters), figures: withEnds(figures) };
}

function likeliest(chances: ReadonlyMap<string, number>): { text: string; confidence: number } {
  let text = '';
  let confidence = -1;
  for (const [candidate, chance] of chances) {
    if (chance <= confidence) continue;
    text = candidate;
    confidence = chance;
  }
  return { text, confidence: Math.min(1, confidence) };
}

function nextInLetters(probabilities: Float64Array, row: number, inLetters: number, unshiftOnSpace: boolean): number {
  const toLetters = probabilities[row + CODE_LTRS] + (unshiftOnSpace ? probabilities[row + CODE_SPACE] : 0);
  const toFigures = probabilities[row + CODE_FIGS];
  return inLetters * (1 - toLetters - toFigures) + toLetters;
}

/** Figures-case codes that only one of the alphabets prints, with what each says for US-TTY (+) or ITA2 (-). */
const ALPHABET_VOTES: readonly (readonly [code: number, vote: number])[] = [
  [9, 1],
  [13, 1],
  [20, 1],
  [26, 1],
  [11, 0.5],
  [5, -0.5],
];

/** US-TTY when figures-case codes turn up that ITA2 leaves without a character; otherwise ITA2. */
function likelyAlphabet(probabilities: Float64Array, count: number): Alphabet {
  let inLetters = LETTERS_AT_START;
  let votes = 0;
  for (let slot = 0; slot < count; slot++) {
    const row = slot * CODE_COUNT;
    for (const [code, vote] of ALPHABET_VOTES) votes += vote * probabilities[row + code] * (1 - inLetters);
    inLetters = nextInLetters(probabilities, row, inLetters, false);
  }
  return votes > 0.5 ? 'us-tty' : 'ita2';
}

/**
 * Signs that the sender counts on spaces unshifting (positive) or not (negative). In figures case, a figures shift
 * right after a space is needless unless the space unshifts; a letters shift there is needless if it does.
 */
function unshiftVotes(probabilities: Float64Array, count: number): number {
  let inFigures = false;
  let votes = 0;
  for (let slot = 0; slot < count; slot++) {
    const row = slot * CODE_COUNT;
    const afterSpace = slot > 0 && probabilities[row - CODE_COUNT + CODE_SPACE] > PRINTED_CONFIDENCE;
    const figures = probabilities[row + CODE_FIGS] > PRINTED_CONFIDENCE;
    const letters = probabilities[row + CODE_LTRS] > PRINTED_CONFIDENCE;
    if (afterSpace && inFigures) votes += figures ? 1 : letters ? -1 : 0;
    if (figures) inFigures = true;
    if (letters) inFigures = false;
  }
  return votes;
}

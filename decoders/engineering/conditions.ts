import type { Condition } from '../mission/types.ts';

/** What is known of a parameter when a condition asks for it: its number, its word (state or text), or neither. */
export interface Known {
  readonly number: number | null;
  readonly word: string | null;
}

/**
 * Whether a condition holds; null when the parameter is not known. `above` and `below` exclude the bound itself; several
 * tests in one condition must all hold.
 */
export function conditionHolds(condition: Condition, known: Known | null): boolean | null {
  if (known === null || (known.number === null && known.word === null)) return null;
  const { equals, above, below } = condition;
  const { number, word } = known;
  if (typeof equals === 'string' && equals !== word) return false;
  if (typeof equals === 'number' && equals !== number) return number === null ? null : false;
  if (above !== undefined && !(number !== null && number > above)) return number === null ? null : false;
  if (below !== undefined && !(number !== null && number < below)) return number === null ? null : false;
  return true;
}

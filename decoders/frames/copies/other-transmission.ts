import type { Alphabet } from '../../mission/types.ts';
import { findCodes } from '../../teletype/alphabets.ts';
import { CODE_COUNT } from '../../teletype/soft-characters.ts';
import type { SlotScores } from '../slot-scores.ts';

/** A character of the frame that the copies were read as. */
export interface ReadCharacter {
  readonly text: string;
  /** `content` is a field's, `check` what follows from it. */
  readonly part: 'content' | 'check' | 'literal';
}

/** Share of the content's characters that differ from one transmission of a layout to the next: telemetry changes slowly. */
const CHANGED_CHARACTERS = 0.1;

/**
 * Odds that a copy is of another transmission of the same layout whose content differs, over being of the frame read,
 * with even odds before. Every character of the content may be another with the probability
 * `CHANGED_CHARACTERS`; when one is, the checksums may be anything.
 *
 * @param slots the copy's slot under each character, -1 where it has none.
 */
export function otherTransmissionOdds(
  characters: readonly ReadCharacter[],
  slots: readonly number[],
  scores: SlotScores,
  alphabet: Alphabet,
): number {
  let logAny = 0;
  let logSame = 0;
  let logCheck = 0;
  for (const [i, { text, part }] of characters.entries()) {
    const code = findCodes(text, alphabet)?.code;
    if (slots[i] < 0 || code === undefined || part === 'literal') continue;
    // Scores are relative to a code drawn at random, whose mean likelihood is therefore one.
    const random = Math.exp(-scores.of(slots[i], code));
    if (part === 'check') {
      logCheck += Math.log(random);
      continue;
    }
    const other = (CODE_COUNT * random - 1) / (CODE_COUNT - 1);
    logAny += Math.log1p(CHANGED_CHARACTERS * (other - 1));
    logSame += Math.log1p(-CHANGED_CHARACTERS);
  }
  return Math.max(0, Math.exp(logAny + logCheck) - Math.exp(logSame + logCheck));
}

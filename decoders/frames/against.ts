import { CODE_CR, CODE_FIGS, CODE_LF, CODE_LTRS, CODE_NUL, CODE_SPACE, findCodes } from '../teletype/alphabets.ts';
import type { CompiledLayout } from './compiled-mission.ts';
import type { SlotScores } from './slot-scores.ts';
import type { WrittenCharacter } from './write-candidate.ts';

const SPACES = [CODE_SPACE, CODE_CR, CODE_LF];
const FILL = [...SPACES, CODE_NUL, CODE_LTRS, CODE_FIGS];

/**
 * Nats by which the slot that fits a reading worst speaks for something else: for another code than the character written there,
 * or for a character where none was written. Noise alone seldom comes to ten; a slot lost or put in, a splice and a
 * click do, and then what stands around it is not what it seems either.
 */
export function mostAgainst(
  { mission }: CompiledLayout,
  characters: readonly WrittenCharacter[],
  scores: SlotScores,
): number {
  const { alphabet } = mission.beacon;
  let most = 0;
  const weigh = (slot: number, fits: number) => {
    most = Math.max(most, scores.best[slot] - fits);
  };
  characters.forEach(({ character, slot }, i) => {
    const codes = character === ' ' ? SPACES : [findCodes(character, alphabet)?.code ?? CODE_NUL];
    weigh(slot, Math.max(...codes.map((code) => scores.of(slot, code))));
    const next = characters[i + 1]?.slot ?? slot;
    for (let between = slot + 1; between < next; between++) {
      // Where start and stop do not look keyed, nothing speaks for a character.
      if (scores.absent[between] < 0) weigh(between, Math.max(...FILL.map((code) => scores.of(between, code))));
    }
  });
  return most;
}

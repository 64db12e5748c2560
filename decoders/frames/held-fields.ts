import type { SoftCharacters } from '../teletype/types.ts';
import type { PrintedGraph } from './printed-graph.ts';
import { slotSeconds } from './slot-seconds.ts';
import type { WrittenCharacter } from './write-candidate.ts';

/** A character that its slot alone says with less is not clear. */
const CLEAR = 0.99;
/** Two slots further apart than so many characters have another between them that was lost, or a pause of the sender. */
const SLOT_LOST = 0.4;

/**
 * Tells of each field in a piece of a frame whether it surely stands where the layout has it: it and what stands next to it are
 * clear, in an unbroken chain of clear characters from a literal word that no field could be mistaken for. A path that fades
 * takes slots out of a burst unseen; past the hole the digits may be as clear as before, but those of another field, or a number
 * may have had more of them. `confidences`: of each character, by its slot alone.
 */
export function fieldsHeld(
  printed: PrintedGraph,
  characters: readonly WrittenCharacter[],
  confidences: readonly number[],
  soft: Pick<SoftCharacters, 'startSeconds' | 'count'>,
): (field: string) => boolean {
  const held = charactersHeld(printed, characters, confidences, soft);
  return (field) =>
    characters.every(
      ({ owner }, i) =>
        owner.kind !== 'field' || owner.field !== field || (held[i] && held[i - 1] !== false && held[i + 1] !== false),
    );
}

function charactersHeld(
  printed: PrintedGraph,
  characters: readonly WrittenCharacter[],
  confidences: readonly number[],
  { startSeconds, count }: Pick<SoftCharacters, 'startSeconds' | 'count'>,
): readonly boolean[] {
  const clear = confidences.map((confidence) => confidence >= CLEAR);
  const periodSeconds = slotSeconds(startSeconds, count);
  const joined = (i: number) => {
    const slots = characters[i + 1].slot - characters[i].slot;
    const seconds = startSeconds[characters[i + 1].slot] - startSeconds[characters[i].slot];
    return clear[i] && clear[i + 1] && Math.abs(seconds / periodSeconds - slots) < SLOT_LOST;
  };
  const held = anchors(printed, characters, clear);
  for (let i = 0; i + 1 < held.length; i++) if (held[i] && joined(i)) held[i + 1] = true;
  for (let i = held.length - 2; i >= 0; i--) if (held[i + 1] && joined(i)) held[i] = true;
  return held;
}

/** Characters of words that stand once in the layout, hold a character that no field can, and were clearly heard as a whole. */
function anchors(printed: PrintedGraph, characters: readonly WrittenCharacter[], clear: readonly boolean[]): boolean[] {
  const inFields = new Set(
    printed.edges.flatMap(({ owner, characters: allowed }) => (owner.kind === 'text' ? [] : [...allowed])),
  );
  const isAnchor = printed.words.map(
    (word) =>
      printed.words.filter((other) => other === word).length === 1 && [...word].some((each) => !inFields.has(each)),
  );
  const wordOf = ({ edge }: WrittenCharacter): number | null => {
    const owner = edge === null ? null : printed.edges[edge].owner;
    return owner?.kind === 'text' ? owner.word : null;
  };
  const heard = printed.words.map(() => 0);
  characters.forEach((character, i) => {
    const word = wordOf(character);
    if (word !== null && clear[i]) heard[word]++;
  });
  return characters.map((character) => {
    const word = wordOf(character);
    return word !== null && isAnchor[word] && heard[word] === printed.words[word].length;
  });
}

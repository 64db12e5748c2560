import { ELEMENTS_PER_SLOT } from '../teletype/soft-characters.ts';
import type { SoftCharacters } from '../teletype/types.ts';
import { shapesOf } from './field-form.ts';
import type { PrintedGraph } from './printed-graph.ts';
import { slotSeconds } from './slot-seconds.ts';
import type { WrittenCharacter } from './write-candidate.ts';

/** Chance that the timing passed over a character where there is time for one, and where it stands out clearly enough not to be. */
const LOST_IN_PAUSE = 1e-2;
const LOST_CLEAR = 1e-5;
/** Nats by which a start element stands out where a single character cannot be passed over. */
const CLEAR_START = 20;
/** Periods beyond those of the slots that a pause must have for a character to fit in. */
const ROOM = 0.9;

/** Where a character of a number may have been passed over, unseen by its layout. */
export interface LostCharacters {
  readonly chance: number;
  /** Fields that might have been longer. */
  readonly fields: ReadonlySet<string>;
}

/**
 * A sender that pauses leaves time in which the timing may have missed a character; in a field of varying width nothing else would
 * tell.
 */
export function lostCharacters(
  printed: PrintedGraph,
  characters: readonly WrittenCharacter[],
  soft: SoftCharacters,
): LostCharacters {
  const { startSeconds, count } = soft;
  const period = slotSeconds(startSeconds, count);
  const fields = new Set<string>();
  let places = 0;
  for (let i = 0; i + 1 < characters.length && period > 0; i++) {
    const [before, after] = [characters[i].slot, characters[i + 1].slot];
    if ((startSeconds[after] - startSeconds[before]) / period - (after - before) < ROOM) continue;
    const here = [characters[i], characters[i + 1]].flatMap(({ owner }) =>
      owner.kind === 'field' && varies(printed, owner.field) ? [owner.field] : [],
    );
    if (here.length > 0) places++;
    for (const field of here) fields.add(field);
  }
  if (places === 0) return { chance: 0, fields };
  const each = clearness(soft, characters) >= CLEAR_START ? LOST_CLEAR : LOST_IN_PAUSE;
  return { chance: Math.min(0.5, places * each), fields };
}

function varies({ fields }: PrintedGraph, id: string): boolean {
  const part = fields.find(({ field }) => field === id);
  return part !== undefined && new Set(shapesOf(part.form, part.missing).map(({ length }) => length)).size > 1;
}

/** Median of how clearly the characters' start elements stand out from rest, nats. */
function clearness({ elementLlr }: SoftCharacters, characters: readonly WrittenCharacter[]): number {
  const starts = characters.map(({ slot }) => -elementLlr[slot * ELEMENTS_PER_SLOT]).sort((a, b) => a - b);
  return starts[starts.length >> 1];
}

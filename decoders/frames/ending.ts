import { findCodes } from '../teletype/alphabets.ts';
import { CODE_COUNT } from '../teletype/soft-characters.ts';
import type { CompiledLayout } from './compiled-mission.ts';
import type { SlotScores } from './slot-scores.ts';
import type { WrittenCharacter } from './write-candidate.ts';

/** Characters with which the field that ends a frame might have gone on; none where it could not. */
export function mightGoOnWith({ graph }: CompiledLayout, last: WrittenCharacter | undefined): string {
  const { edges, outgoing } = graph.printed;
  if (last === undefined || last.edge === null || last.owner.kind !== 'field') return '';
  const { field } = last.owner;
  const ofField = (edge: number) => {
    const { owner } = edges[edge];
    return owner.kind === 'field' && owner.field === field;
  };
  const beside = outgoing[edges[last.edge].from].filter(
    (i) => ofField(i) && edges[i].characters.includes(last.character),
  );
  return beside.flatMap((i) => outgoing[edges[i].to].filter(ofField).map((next) => edges[next].characters)).join('');
}

/**
 * ln of how much less likely what follows makes it that a frame ends here: nobody keys a digit straight behind a number that is
 * over.
 */
export function endingWeight(
  layout: CompiledLayout,
  last: WrittenCharacter | undefined,
  toSlot: number,
  scores: SlotScores,
): number {
  const more = mightGoOnWith(layout, last);
  if (more === '') return 0;
  // A pause in the middle of a number is no end.
  let at = toSlot;
  while (at < scores.count && scores.absent[at] > scores.best[at]) at++;
  if (at >= scores.count) return 0;
  const goesOn = new Set(Array.from(more, (character) => findCodes(character, layout.mission.beacon.alphabet)?.code));
  let other = 0;
  for (let code = 0; code < CODE_COUNT; code++) if (!goesOn.has(code)) other += scores.likelihood(at, code);
  return Math.min(0, Math.log(Math.max(1e-300, other / (CODE_COUNT - goesOn.size))));
}

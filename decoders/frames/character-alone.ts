import { findCodes } from '../teletype/alphabets.ts';
import { CODE_COUNT } from '../teletype/soft-characters.ts';
import type { CompiledLayout } from './compiled-mission.ts';
import type { SlotScores } from './slot-scores.ts';
import type { WrittenCharacter } from './write-candidate.ts';

/** Probability of a written character by its slot alone: in a field among those that its place allows, else among all codes. */
export function confidenceAlone(
  layout: CompiledLayout,
  { character, owner, slot, edge }: WrittenCharacter,
  scores: SlotScores,
): number {
  return edge === null || owner.kind !== 'field'
    ? Math.exp(scores.of(slot, codeOf(layout, character))) / CODE_COUNT
    : aloneConfidence(layout, character, slot, edge, scores);
}

/** Probability of a field's text in a reading by its slots alone. */
export function fieldAlone(
  layout: CompiledLayout,
  characters: readonly WrittenCharacter[],
  field: string,
  scores: SlotScores,
): number {
  let alone = 1;
  for (const character of characters) {
    const { owner, edge } = character;
    if (owner.kind !== 'field' || owner.field !== field || edge === null) continue;
    alone *= confidenceAlone(layout, character, scores);
  }
  return alone;
}

/** Probability of a character among those its place allows, by its slot alone. */
function aloneConfidence(
  layout: CompiledLayout,
  character: string,
  slot: number,
  edge: number,
  scores: SlotScores,
): number {
  const own = Math.exp(scores.of(slot, codeOf(layout, character)));
  let sum = 0;
  for (const code of codesHere(layout, edge)) sum += Math.exp(scores.of(slot, code));
  return sum > 0 ? Math.min(1, own / sum) : 0;
}

/** Codes that may stand where a written character stands. */
function codesHere(layout: CompiledLayout, edge: number): number[] {
  const { printed } = layout.graph;
  return Array.from(printed.edges[edge].characters, (character) => codeOf(layout, character)).filter(
    (code) => code >= 0,
  );
}

/** -1 where the mission's alphabet lacks the character. */
export function codeOf(layout: CompiledLayout, character: string): number {
  return findCodes(character, layout.mission.beacon.alphabet)?.code ?? -1;
}

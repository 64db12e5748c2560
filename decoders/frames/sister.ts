import { CODE_COUNT } from '../teletype/soft-characters.ts';
import { codeOf } from './character-alone.ts';
import type { CompiledLayout } from './compiled-mission.ts';
import type { SlotScores } from './slot-scores.ts';
import type { WrittenCandidate } from './write-candidate.ts';

/** Odds that one character of a literal word was another: the sum over all words, places and other characters. */
export function sisterOdds(layout: CompiledLayout, reading: WrittenCandidate, scores: SlotScores): number {
  let odds = 0;
  for (const { owner, character, slot, edge } of reading.characters) {
    if (owner.kind !== 'text' || edge === null) continue;
    const own = codeOf(layout, character);
    const ownScore = scores.of(slot, own);
    let others = 0;
    for (let code = 0; code < CODE_COUNT; code++)
      if (code !== own) others += Math.exp(scores.of(slot, code) - ownScore);
    odds += others / (CODE_COUNT - 1);
  }
  return Math.max(odds, 1e-300);
}

/** Whether a sister's checksum would give it away: one that covers the literals from the frame's beginning on. */
export function literalsChecked({ graph }: CompiledLayout): boolean {
  return graph.printed.checks.some(({ covers, from }) => covers !== 'bytes' && from === undefined);
}

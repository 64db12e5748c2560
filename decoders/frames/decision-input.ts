import type { SoftCharacters } from '../teletype/types.ts';
import type { CompiledLayout } from './compiled-mission.ts';
import type { Region, Span } from './scan.ts';
import type { SlotScores } from './slot-scores.ts';

/** A stretch of a burst in which a frame shows. */
export interface DecisionInput {
  readonly layout: CompiledLayout;
  /** All layouts that might have been sent instead, `layout` among them. */
  readonly rivals: readonly CompiledLayout[];
  readonly span: Span;
  readonly region: Region;
  readonly scores: SlotScores;
  readonly soft: SoftCharacters;
}

/** What a decision about readings of it is made from. */
export type JudgedInput = Pick<DecisionInput, 'layout' | 'span' | 'scores' | 'soft'>;

import type { LimitState } from '../../../decoders/engineering/types.ts';
import type { Trust } from '../../../decoders/frames/types.ts';
import type { Phase } from '../records.ts';

/** Words that the database keeps as small numbers, by their place. The order is stored: only ever append. */
const TRUSTS: readonly Trust[] = ['doubtful', 'probable', 'confirmed'];
const PHASES: readonly Phase[] = ['flight', 'rehearsal', 'bench'];
const LIMITS: readonly NonNullable<LimitState>[] = ['normal', 'soft', 'hard'];

export const trustCode = (trust: Trust): number => TRUSTS.indexOf(trust);
export const trustOf = (code: number): Trust => TRUSTS[code];
export const phaseCode = (phase: Phase): number => PHASES.indexOf(phase);
export const phaseOf = (code: number): Phase => PHASES[code];
export const limitCode = (limit: LimitState): number | null => (limit === null ? null : LIMITS.indexOf(limit));
export const limitOf = (code: number | null): LimitState => (code === null ? null : LIMITS[code]);

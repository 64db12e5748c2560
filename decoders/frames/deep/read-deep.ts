import { type DemodulatedBurst, softAt } from '../../teletype/demodulate.ts';
import type { CompiledLayout } from '../compiled-mission.ts';
import { isContradicted, judge, type Weighed, weigh } from '../decide.ts';
import { SlotScores } from '../slot-scores.ts';
import type { DecodedFrame } from '../types.ts';
import { beam } from './beam.ts';
import { freeTextEvidence } from './free-text.ts';
import { findHeldPhase, type HeldPhase, pathsOf } from './held-phase.ts';
import { characterSecondsOf } from './signal-hypothesis.ts';

export interface DeepInput {
  readonly layout: CompiledLayout;
  /** All layouts that might have been sent instead, `layout` among them. */
  readonly rivals: readonly CompiledLayout[];
  readonly signal: DemodulatedBurst;
  /** Slot of the burst in which the frame begins. */
  readonly fromSlot: number;
}

/**
 * Reads a frame through the phase of a sender that holds it through the whole frame. Null when it does not, when the
 * layout is of a kind that this search does not walk, or when the checksum contradicts the text.
 */
export function readDeep(input: DeepInput): DecodedFrame | null {
  const { layout, signal, fromSlot } = input;
  const held = findHeldPhase(signal, layout, fromSlot);
  if (!held) return null;
  const { surface, hypothesis, model } = held;
  const trellis = surface.trellis(hypothesis, model);
  const { free, candidates } = beam(layout, trellis);
  const weighed = weigh(candidates, free);
  if (!weighed || isContradicted(weighed)) return null;
  const { startSeconds } = hypothesis;
  const characterSeconds = characterSecondsOf(hypothesis);
  const starts = Float64Array.from({ length: trellis.slots }, (_, slot) => startSeconds + slot * characterSeconds);
  const soft = softAt(signal.elements, starts);
  const span = { score: free, from: 0, to: trellis.slots, startsWhole: true, endsWhole: true };
  const rivals = [
    ...rivalEvidence(input, held),
    freeTextEvidence(surface.trellis(hypothesis, model, 'all'), slotsOf(weighed)),
  ];
  const frame = judge({ layout, span, scores: new SlotScores(soft), soft }, weighed, rivals);
  const inBurst = frame.characters.map((character) => ({ ...character, slot: character.slot + fromSlot }));
  return { ...frame, characters: inBurst };
}

/** Evidence of the other layouts in the same signal, over random keying. */
function rivalEvidence({ layout, rivals }: DeepInput, { surface, hypothesis, model }: HeldPhase): number[] {
  return rivals.flatMap((rival) => {
    const paths = rival === layout ? null : pathsOf(rival);
    return paths ? [surface.forPaths(paths).trellis(hypothesis, model).evidence()] : [];
  });
}

/** Slots that the likeliest reading takes. */
function slotsOf({ contents }: Weighed): number {
  const [first, ...others] = contents.values();
  return others.reduce((a, b) => (b.logConsistent > a.logConsistent ? b : a), first).best.candidate.toSlot;
}

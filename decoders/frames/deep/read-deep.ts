import type { DemodulatedBurst } from '../../teletype/demodulate.ts';
import { ELEMENTS_PER_SLOT } from '../../teletype/soft-characters.ts';
import type { SoftCharacters } from '../../teletype/types.ts';
import { agreementByChance } from '../check-worth.ts';
import type { CompiledLayout } from '../compiled-mission.ts';
import { judge } from '../judge.ts';
import { type CodeLikelihoods, SlotScores } from '../slot-scores.ts';
import type { DecodedFrame } from '../types.ts';
import { isContradicted, type Weighed, weigh } from '../weigh.ts';
import { beam } from './beam.ts';
import { coherentElements } from './coherent-elements.ts';
import { withMarginals } from './element-marginals.ts';
import { freeTextEvidence } from './free-text.ts';
import { heldLikelihoods } from './held-likelihoods.ts';
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

/** What a phase that holds tells of a burst. */
export interface DeepReading {
  /** Null when nothing can be read, or when the checksum contradicts the text. */
  readonly frame: DecodedFrame | null;
  /** The burst's soft characters with those of the frame as the phase tells them, for adding to other receivers'. */
  readonly soft: SoftCharacters;
}

/**
 * Reads a frame through the phase of a sender that holds it through the whole frame. Null when it does not, or when the
 * layout is of a kind that this search does not walk.
 *
 * Levels are taken as steady. Where they fade, what it says of single elements would be stated far too sure: then its frame counts
 * only with a checksum that bears it out, and other receivers get the elements as they were measured.
 */
export function readDeep(input: DeepInput): DeepReading | null {
  const { layout, signal, fromSlot } = input;
  const held = findHeldPhase(signal, layout, fromSlot);
  if (!held) return null;
  const fades = signal.levels !== null;
  if (fades && layout.graph.printed.checks.length === 0) return { frame: null, soft: signal.soft };
  const likelihoods = heldLikelihoods(held);
  return {
    frame: readFrame(input, held, likelihoods),
    soft: fades ? signal.soft : softThrough(held, likelihoods, input),
  };
}

function softThrough(
  held: HeldPhase,
  { count, logLikelihoods }: CodeLikelihoods,
  { signal: { soft }, fromSlot }: DeepInput,
): SoftCharacters {
  const whole = { ...soft, elementLlr: soft.elementLlr.slice() };
  const here = Math.min(count, soft.count - fromSlot);
  const elements = [fromSlot * ELEMENTS_PER_SLOT, (fromSlot + here) * ELEMENTS_PER_SLOT] as const;
  const stretch = { count: here, startSeconds: soft.startSeconds, elementLlr: soft.elementLlr.subarray(...elements) };
  whole.elementLlr.set(withMarginals(stretch, { logLikelihoods }).elementLlr, elements[0]);
  return { ...whole, coherent: [...(soft.coherent ?? []), coherentElements(held)] };
}

/** What a letter of a literal or a field says by itself is told through the phase, too, as the frame is. */
function readFrame(input: DeepInput, held: HeldPhase, likelihoods: CodeLikelihoods): DecodedFrame | null {
  const { layout, fromSlot } = input;
  const { surface, hypothesis, model } = held;
  const trellis = surface.trellis(hypothesis, model);
  const { free, candidates } = beam(layout, [trellis]);
  const weighed = weigh(candidates, free, agreementByChance(layout));
  if (!weighed || isContradicted(weighed)) return null;
  const { startSeconds } = hypothesis;
  const characterSeconds = characterSecondsOf(hypothesis);
  const soft = {
    count: trellis.slots,
    startSeconds: Float64Array.from({ length: trellis.slots }, (_, slot) => startSeconds + slot * characterSeconds),
    elementLlr: new Float32Array(0),
  };
  const span = { score: free, from: 0, to: trellis.slots, startsWhole: true, endsWhole: true };
  const rivals = [
    ...rivalEvidence(input, held),
    freeTextEvidence(surface.trellis(hypothesis, model, 'all'), slotsOf(weighed)),
  ];
  const frame = judge({ layout, span, scores: new SlotScores(likelihoods), soft }, weighed, rivals);
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
export function slotsOf({ contents }: Weighed): number {
  const [first, ...others] = contents.values();
  return others.reduce((a, b) => (b.logConsistent > a.logConsistent ? b : a), first).best.candidate.toSlot;
}

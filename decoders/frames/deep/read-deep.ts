import { ToneCorrelator } from '../../signal/burst-correlator.ts';
import { type DemodulatedBurst, softAt } from '../../teletype/demodulate.ts';
import type { CodeGraph } from '../code-graph.ts';
import type { CompiledLayout } from '../compiled-mission.ts';
import { isContradicted, judge, weigh } from '../decide.ts';
import { SlotScores } from '../slot-scores.ts';
import type { DecodedFrame } from '../types.ts';
import { beam } from './beam.ts';
import { binsFor, climb, EvidenceSurface } from './climb.ts';
import { type CorrelatedTones, characterSecondsOf, type SignalHypothesis } from './element-weights.ts';
import { NONCOHERENT, type PhaseModel } from './phase-model.ts';
import { type CodeTree, senderTrees } from './sender-paths.ts';

export interface DeepInput {
  readonly layout: CompiledLayout;
  /** All layouts that might have been sent instead, `layout` among them. */
  readonly rivals: readonly CompiledLayout[];
  readonly signal: DemodulatedBurst;
  /** Slot of the burst in which the frame begins. */
  readonly fromSlot: number;
}

/** Nats by which a phase that holds must explain a burst better than none. */
const LEAST_LEAD = 20;
/** Settings of the phase memory to try: clean oscillators first, noisy ones after. */
const MEMORIES: readonly Omit<PhaseModel, 'lostAtChange'>[] = [
  { slip: 0.0005, diffusion: 0.002 },
  { slip: 0.002, diffusion: 0.012 },
  { slip: 0.01, diffusion: 0.05 },
];

/**
 * Reads a frame through the phase of its sender: one that holds through the whole frame where it can be had, else one
 * that holds as long as the tone does. Null when neither explains the burst, when the layout is of a kind that this search does not walk, or when the
 * checksum contradicts the text.
 */
export function readDeep(input: DeepInput): DecodedFrame | null {
  const { layout, signal, fromSlot } = input;
  const trees = treesOf(layout);
  if (!trees) return null;
  const slots = longestFrame(layout.graph, trees);
  const start = startOf(signal, fromSlot);
  const tones = correlatedTones(signal);
  const surface = new EvidenceSurface(layout.graph, trees, tones, slots, binsFor(tones, start.elementSeconds));
  const explained = explainPhase(surface, start, slots, false) ?? explainPhase(surface, start, slots, true);
  if (!explained) return null;
  const { hypothesis, model } = explained;
  const trellis = surface.trellis(hypothesis, model);
  const { free, candidates } = beam(layout, trellis);
  const weighed = weigh(candidates, free);
  if (!weighed || isContradicted(weighed)) return null;
  const rivals = input.rivals.flatMap((rival) => {
    const rivalTrees = rival === layout ? null : treesOf(rival);
    return rivalTrees ? [trellis.evidenceOf(rival.graph, rivalTrees)] : [];
  });
  const { startSeconds } = hypothesis;
  const characterSeconds = characterSecondsOf(hypothesis);
  const soft = softAt(
    signal.elements,
    Float64Array.from({ length: slots }, (_, slot) => startSeconds + slot * characterSeconds),
  );
  const span = { score: free, from: 0, to: slots, startsWhole: true, endsWhole: true };
  const frame = judge({ layout, span, scores: new SlotScores(soft), soft }, weighed, rivals);
  const inBurst = frame.characters.map((character) => ({ ...character, slot: character.slot + fromSlot }));
  return { ...frame, characters: inBurst };
}

/** The signal hypothesis and phase memory that explain a burst best; null where phase explains no more than none. */
function explainPhase(
  surface: EvidenceSurface,
  start: SignalHypothesis,
  slots: number,
  lostAtChange: boolean,
): { readonly hypothesis: SignalHypothesis; readonly model: PhaseModel } | null {
  const { hypothesis } = climb(surface, start, slots, lostAtChange);
  const models = MEMORIES.map((memory): PhaseModel => ({ ...memory, lostAtChange }));
  const evidences = models.map((model) => surface.at(hypothesis, model));
  const most = Math.max(...evidences);
  const lead = most - surface.at(hypothesis, NONCOHERENT);
  return lead >= LEAST_LEAD ? { hypothesis, model: models[evidences.indexOf(most)] } : null;
}

const treesOfLayout = new WeakMap<CompiledLayout, (CodeTree | null)[] | null>();

/** Trees of a layout whose derived part, if any, is a single one at its end; null for others. */
function treesOf(layout: CompiledLayout): (CodeTree | null)[] | null {
  const known = treesOfLayout.get(layout);
  if (known !== undefined) return known;
  const trees = derivedAtEnd(layout) ? senderTrees(layout.graph) : null;
  treesOfLayout.set(layout, trees);
  return trees;
}

function derivedAtEnd({ graph, parts }: CompiledLayout): boolean {
  if (parts.owners.length > 1) return false;
  const { edges, outgoing } = graph.printed;
  return edges.every(
    (edge, i) => parts.partOfEdge[i] < 0 || outgoing[edge.to].every((next) => parts.partOfEdge[next] >= 0),
  );
}

/** Most slots that a walk through the plain ways of a layout takes. */
function longestFrame(graph: CodeGraph, trees: readonly (CodeTree | null)[]): number {
  const longest = new Map<number, number>();
  const visit = (state: number): number => {
    const known = longest.get(state);
    if (known !== undefined) return known;
    longest.set(state, 0);
    let most = 0;
    for (const steps of trees[state]?.steps ?? []) {
      for (const step of steps) most = Math.max(most, 1 + visit(graph.steps[step].to));
    }
    longest.set(state, most);
    return most;
  };
  return Math.max(...graph.starts.map(visit));
}

function startOf(signal: DemodulatedBurst, fromSlot: number): SignalHypothesis {
  const { elements, soft } = signal;
  const { markLevel, spaceLevel, noisePower } = elements.level;
  return {
    startSeconds: soft.startSeconds[fromSlot],
    elementSeconds: signal.characterSeconds / (6 + signal.stopElements),
    stopElements: signal.stopElements,
    offsetHz: 0,
    spreadHz: 0,
    driftHzPerSecond: 0,
    level: (markLevel + spaceLevel) / 2,
    noisePower,
  };
}

function correlatedTones({ elements, baseband, centreSeconds }: DemodulatedBurst): CorrelatedTones {
  const { markOffsetHz, spaceOffsetHz } = elements.tones;
  return {
    mark: new ToneCorrelator(baseband, markOffsetHz),
    space: new ToneCorrelator(baseband, spaceOffsetHz),
    markHz: markOffsetHz,
    spaceHz: spaceOffsetHz,
    originSeconds: baseband.startSeconds,
    middleSeconds: centreSeconds,
  };
}

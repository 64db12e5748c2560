import { type DemodulatedBurst, softAt } from '../../teletype/demodulate.ts';
import type { CompiledLayout } from '../compiled-mission.ts';
import { isContradicted, judge, type Weighed, weigh } from '../decide.ts';
import { SlotScores } from '../slot-scores.ts';
import type { DecodedFrame } from '../types.ts';
import { beam } from './beam.ts';
import { climb, EvidenceSurface } from './climb.ts';
import { freeTextEvidence } from './free-text.ts';
import { type PhaseModel, phaseBins, WITHOUT_PHASE } from './phase-model.ts';
import { PhaseTrellis } from './phase-trellis.ts';
import { type SenderPaths, senderPaths } from './sender-paths.ts';
import {
  characterSecondsOf,
  correlatedTones,
  hypothesisOf,
  type SignalHypothesis,
  turnsPerSpace,
} from './signal-hypothesis.ts';
import { gainsWithoutPhase, toneLikelihoods } from './tone-likelihoods.ts';

export interface DeepInput {
  readonly layout: CompiledLayout;
  /** All layouts that might have been sent instead, `layout` among them. */
  readonly rivals: readonly CompiledLayout[];
  readonly signal: DemodulatedBurst;
  /** Slot of the burst in which the frame begins. */
  readonly fromSlot: number;
}

/** Nats by which a phase that holds must explain a burst better than one that does not. */
const LEAST_LEAD = 20;
/** Settings of the phase memory to try: clean oscillators first, noisy ones after. */
const MEMORIES: readonly PhaseModel[] = [
  { slip: 0.004, diffusion: 0.015 },
  { slip: 0.015, diffusion: 0.09 },
  { slip: 0.07, diffusion: 0.38 },
];

/**
 * Reads a frame through the phase of a sender that holds it through the whole frame. Null when it does not, when the
 * layout is of a kind that this search does not walk, or when the checksum contradicts the text.
 */
export function readDeep(input: DeepInput): DecodedFrame | null {
  const { layout, signal, fromSlot } = input;
  const paths = pathsOf(layout);
  if (!paths) return null;
  const start = hypothesisOf(signal, fromSlot);
  const tones = correlatedTones(signal);
  const surface = new EvidenceSurface(paths, tones, phaseBins(Math.abs(turnsPerSpace(tones, start))));
  const climbed = climb(surface, start);
  if (!climbed) return null;
  const { hypothesis } = climbed;
  const model = explainingModel(surface, paths, hypothesis);
  if (!model) return null;
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
    ...rivalEvidence(input, surface, hypothesis, model),
    anyTextEvidence(surface, hypothesis, model, slotsOf(weighed)),
  ];
  const frame = judge({ layout, span, scores: new SlotScores(soft), soft }, weighed, rivals);
  const inBurst = frame.characters.map((character) => ({ ...character, slot: character.slot + fromSlot }));
  return { ...frame, characters: inBurst };
}

/** The phase memory that explains a burst best; null where a phase held through explains no more than one that is not. */
function explainingModel(
  surface: EvidenceSurface,
  paths: SenderPaths,
  hypothesis: SignalHypothesis,
): PhaseModel | null {
  const evidences = MEMORIES.map((model) => surface.at(hypothesis, model));
  const most = Math.max(...evidences);
  for (const hold of ['tone', 'element'] as const) {
    const likelihoods = toneLikelihoods(surface.sums, surface.turnsPerSpace(hypothesis), hold);
    const evidence = new PhaseTrellis(paths, gainsWithoutPhase(likelihoods), WITHOUT_PHASE).evidence();
    if (!(most - evidence - likelihoods.random.reduce((sum, each) => sum + each, 0) >= LEAST_LEAD)) return null;
  }
  return MEMORIES[evidences.indexOf(most)];
}

/** Evidence of the other layouts in the same signal, over random keying. */
function rivalEvidence(
  { layout, rivals }: DeepInput,
  surface: EvidenceSurface,
  hypothesis: SignalHypothesis,
  model: PhaseModel,
): number[] {
  return rivals.flatMap((rival) => {
    const paths = rival === layout ? null : pathsOf(rival);
    return paths ? [surface.forPaths(paths).trellis(hypothesis, model).evidence()] : [];
  });
}

/** Evidence of text without layout that the same phase bears out. */
function anyTextEvidence(
  surface: EvidenceSurface,
  hypothesis: SignalHypothesis,
  model: PhaseModel,
  slots: number,
): number {
  return freeTextEvidence(surface.trellis(hypothesis, model, 'all'), slots);
}

/** Slots that the likeliest reading takes. */
function slotsOf({ contents }: Weighed): number {
  const [first, ...others] = contents.values();
  return others.reduce((a, b) => (b.logConsistent > a.logConsistent ? b : a), first).best.candidate.toSlot;
}

const pathsOfLayout = new WeakMap<CompiledLayout, SenderPaths | null>();

/** Paths of a layout whose derived part, if any, is a single one at its end; null for others. */
function pathsOf(layout: CompiledLayout): SenderPaths | null {
  const known = pathsOfLayout.get(layout);
  if (known !== undefined) return known;
  const paths = derivedAtEnd(layout) ? senderPaths(layout.graph) : null;
  pathsOfLayout.set(layout, paths);
  return paths;
}

function derivedAtEnd({ graph, parts }: CompiledLayout): boolean {
  if (parts.owners.length > 1) return false;
  const { edges, outgoing } = graph.printed;
  return edges.every(
    (edge, i) => parts.partOfEdge[i] < 0 || outgoing[edge.to].every((next) => parts.partOfEdge[next] >= 0),
  );
}

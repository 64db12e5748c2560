import type { DemodulatedBurst } from '../../teletype/demodulate.ts';
import type { CompiledLayout } from '../compiled-mission.ts';
import type { CodeLikelihoods } from '../slot-scores.ts';
import { climb, EvidenceSurface } from './climb.ts';
import { tunedOscillators } from './oscillator-likelihoods.ts';
import { type PhaseModel, phaseBins, WITHOUT_PHASE } from './phase-model.ts';
import { PhaseTrellis } from './phase-trellis.ts';
import { type SenderPaths, senderPaths } from './sender-paths.ts';
import {
  type CorrelatedTones,
  correlatedTones,
  hypothesisOf,
  type SignalHypothesis,
  turnsPerSpace,
} from './signal-hypothesis.ts';
import { gainsWithoutPhase, toneLikelihoods } from './tone-likelihoods.ts';
import { explained } from './weighed-row.ts';

/** Nats by which a phase that holds must explain a burst better than one that does not. */
const LEAST_LEAD = 20;
/** Settings of the phase memory to try: clean oscillators first, noisy ones after. */
const MEMORIES: readonly PhaseModel[] = [
  { slip: 0.004, diffusion: 0.015 },
  { slip: 0.015, diffusion: 0.09 },
  { slip: 0.07, diffusion: 0.38 },
];

/** A sender whose phase was found to hold. */
export interface HeldPhase {
  readonly paths: SenderPaths;
  readonly surface: EvidenceSurface;
  readonly hypothesis: SignalHypothesis;
  readonly model: PhaseModel;
}

/**
 * Looks for a phase that holds through a frame that begins in a slot of a burst. Null where there is none that explains the
 * signal much better than a phase that lasts as long as its tone, or where the layout is of a kind that this search does not walk.
 */
export function findHeldPhase(signal: DemodulatedBurst, layout: CompiledLayout, fromSlot: number): HeldPhase | null {
  const paths = pathsOf(layout);
  if (!paths) return null;
  const start = hypothesisOf(signal, fromSlot);
  const tones = correlatedTones(signal);
  const surface = new EvidenceSurface(paths, tones, phaseBins(Math.abs(turnsPerSpace(tones, start))));
  const climbed = climb(surface, start);
  if (!climbed) return null;
  const { hypothesis } = climbed;
  const model = explainingModel(surface, paths, tones, hypothesis);
  return model && { paths, surface, hypothesis, model };
}

/** The phase memory that explains a burst best; null where a phase held through explains no more than one that is not. */
function explainingModel(
  surface: EvidenceSurface,
  paths: SenderPaths,
  tones: CorrelatedTones,
  hypothesis: SignalHypothesis,
): PhaseModel | null {
  const evidences = MEMORIES.map((model) => surface.at(hypothesis, model));
  const most = Math.max(...evidences);
  const byTone = toneLikelihoods(surface.sums, surface.turnsPerSpace(hypothesis), 'tone');
  const byElement = toneLikelihoods(surface.sums, surface.turnsPerSpace(hypothesis), 'element');
  const lead = (likelihoods: CodeLikelihoods) => most - evidenceOf(paths, likelihoods) - explained(likelihoods);
  if (lead(byTone) < LEAST_LEAD || lead(byElement) < LEAST_LEAD) return null;
  const overOscillators = lead(tunedOscillators(tones, surface.sums, hypothesis, byTone));
  if (overOscillators < (isWhole(surface.turnsPerSpace(hypothesis)) ? -LEAST_LEAD : LEAST_LEAD)) return null;
  return MEMORIES[evidences.indexOf(most)];
}

/** Evidence of a layout under codes weighed without a phase. */
function evidenceOf(paths: SenderPaths, likelihoods: CodeLikelihoods): number {
  return new PhaseTrellis(paths, gainsWithoutPhase(likelihoods), WITHOUT_PHASE).evidence();
}

/** Whether a space turns the phase so nearly all round that a phase held through is that of two oscillators, too. */
function isWhole(turns: number): boolean {
  return Math.abs(turns - Math.round(turns)) < 0.02;
}

/** Four a character, and more where copies of varying width follow each other; each takes 13 kB in a frame of 60 characters. */
const MOST_STATES = 3000;

const pathsOfLayout = new WeakMap<CompiledLayout, SenderPaths | null>();

/** Paths of a layout; null where there are too many. */
export function pathsOf(layout: CompiledLayout): SenderPaths | null {
  const known = pathsOfLayout.get(layout);
  if (known !== undefined) return known;
  const paths = layout.graph.stateCount > MOST_STATES ? null : senderPaths(layout.graph);
  pathsOfLayout.set(layout, paths);
  return paths;
}

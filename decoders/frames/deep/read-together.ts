import { CODE_COUNT } from '../../teletype/soft-characters.ts';
import type { CoherentElements } from '../../teletype/types.ts';
import { agreementByChance } from '../check-worth.ts';
import type { CompiledLayout } from '../compiled-mission.ts';
import { judge } from '../judge.ts';
import { type CodeLikelihoods, SlotScores } from '../slot-scores.ts';
import type { DecodedFrame } from '../types.ts';
import { isContradicted, weigh } from '../weigh.ts';
import { beam } from './beam.ts';
import { CodeGains } from './code-gains.ts';
import { sumsOfCoherent } from './coherent-elements.ts';
import { freeTextEvidence } from './free-text.ts';
import { codePriors, likelihoodsThroughPhase } from './held-likelihoods.ts';
import { pathsOf } from './held-phase.ts';
import { type PhaseModel, phaseBins, WITHOUT_PHASE } from './phase-model.ts';
import { PhaseTrellis } from './phase-trellis.ts';
import { slotsOf } from './read-deep.ts';
import type { SenderPaths } from './sender-paths.ts';
import { SureRest } from './sure-rest.ts';
import { gainsWithoutPhase } from './tone-likelihoods.ts';
import { overRandomCode } from './weighed-row.ts';

export interface ReceivedTogether {
  /** Receptions of one transmission through which its phase holds; all begin with the frame. */
  readonly coherent: readonly CoherentElements[];
  /** What other receptions say of the same slots; null where there are none. */
  readonly others: CodeLikelihoods | null;
  readonly layouts: readonly CompiledLayout[];
}

export interface ReadTogether {
  readonly layout: CompiledLayout;
  /** Slots and seconds are those of the first coherent reception. */
  readonly frame: DecodedFrame;
  /** What each coherent reception says of the codes by its own signal, its phase followed as all of them tell. */
  readonly said: readonly CodeLikelihoods[];
}

/** A layout that explains the receptions, each by itself, so much worse (nats) than another cannot be what they hold together. */
const HOPELESS = 60;
/** Rounds in which receptions tell each other of the codes. */
const ROUNDS = 3;

/**
 * Reads one frame from several receptions of it, each with a phase of its own that holds through it: every reading is held against
 * all of them at once. Null when no layout can be walked, or when the checksum contradicts the text.
 */
export function readTogether({ coherent, others, layouts }: ReceivedTogether): ReadTogether | null {
  const receptions = coherent.map(receptionOf);
  const walks = layouts.flatMap((layout): Walk[] => {
    const paths = new SureRest(layout).isSure() ? pathsOf(layout) : null;
    return paths ? [walkOf(layout, paths, receptions, others)] : [];
  });
  const most = Math.max(...walks.map(({ apart }) => apart));
  const [best, ...rivals] = walks
    .filter(({ apart }) => apart > most - HOPELESS)
    .map((walk) => ({ walk, ...beam(walk.layout, walk.trellises) }))
    .sort((a, b) => b.free - a.free);
  if (best === undefined) return null;
  const { layout, trellises, paths } = best.walk;
  const weighed = weigh(best.candidates, best.free, agreementByChance(layout));
  if (!weighed || isContradicted(weighed)) return null;
  const said = toldToEachOther(trellises, paths);
  const likelihoods = addedLikelihoods(said);
  const slots = slotsOf(weighed);
  const anyText = trellises.reduce((sum, trellis) => sum + freeTextEvidence(trellis, slots), 0);
  const agreeing = likelihoods.random.subarray(0, slots).reduce((sum, each) => sum + each, 0);
  const [{ startSeconds, characterSeconds }] = coherent;
  const soft = {
    count: likelihoods.count,
    startSeconds: Float64Array.from({ length: likelihoods.count }, (_, slot) => startSeconds + slot * characterSeconds),
    elementLlr: new Float32Array(0),
  };
  const span = { score: best.free, from: 0, to: likelihoods.count, startsWhole: true, endsWhole: true };
  const frame = judge({ layout, span, scores: new SlotScores(likelihoods), soft }, weighed, [
    ...rivals.map(({ free }) => free),
    anyText + agreeing,
  ]);
  return { layout, frame, said: said.slice(0, coherent.length) };
}

interface Reception {
  readonly gains: CodeGains;
  readonly model: PhaseModel;
}

/** A layout walked in every reception. */
interface Walk {
  readonly layout: CompiledLayout;
  readonly paths: SenderPaths;
  readonly trellises: readonly PhaseTrellis[];
  /** ln of the evidence in each reception by itself, added. */
  readonly apart: number;
}

function receptionOf(coherent: CoherentElements): Reception {
  const { slots, turnsPerSpace, slip, diffusion } = coherent;
  const gains = new CodeGains(slots, phaseBins(Math.abs(turnsPerSpace)));
  gains.fill(sumsOfCoherent(coherent), turnsPerSpace, null);
  return { gains, model: { slip, diffusion } };
}

function walkOf(
  layout: CompiledLayout,
  paths: SenderPaths,
  receptions: readonly Reception[],
  others: CodeLikelihoods | null,
): Walk {
  const trellises = receptions.map(({ gains, model }) => new PhaseTrellis(paths, gains, model));
  if (others) trellises.push(new PhaseTrellis(paths, gainsWithoutPhase(others), WITHOUT_PHASE));
  return { layout, paths, trellises, apart: trellises.reduce((sum, trellis) => sum + trellis.evidence(), 0) };
}

/**
 * What each reception says of each slot's code. Each learns from the others which codes are likely around a slot, follows its
 * phase the better for it, and says more; what it was told of the slot itself it does not repeat.
 */
function toldToEachOther(trellises: readonly PhaseTrellis[], paths: SenderPaths): CodeLikelihoods[] {
  const count = Math.min(...trellises.map(({ slots }) => slots));
  const priors = codePriors(paths);
  let said = trellises.map((trellis) => likelihoodsThroughPhase(trellis, priors));
  for (let round = 1; round < ROUNDS; round++) {
    const all = added(said, count);
    said = trellises.map((trellis, k) => {
      const told = priors.map((prior, i) => {
        return i < all.length ? prior * Math.exp(all[i] - said[k].logLikelihoods[i]) : prior;
      });
      return likelihoodsThroughPhase(trellis, told);
    });
  }
  return said;
}

function addedLikelihoods(said: readonly CodeLikelihoods[]): CodeLikelihoods {
  const count = Math.min(...said.map((each) => each.count));
  const logLikelihoods = added(said, count);
  const random = new Float64Array(count);
  for (let slot = 0; slot < count; slot++) {
    random[slot] = overRandomCode(logLikelihoods.subarray(slot * CODE_COUNT, (slot + 1) * CODE_COUNT));
  }
  return { count, logLikelihoods, random };
}

function added(said: readonly CodeLikelihoods[], count: number): Float64Array {
  const sum = new Float64Array(count * CODE_COUNT);
  for (const { logLikelihoods } of said) for (let i = 0; i < sum.length; i++) sum[i] += logLikelihoods[i];
  return sum;
}

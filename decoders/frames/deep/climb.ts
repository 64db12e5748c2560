import type { CodeGraph } from '../code-graph.ts';
import { type CorrelatedTones, characterSecondsOf, ElementWeights, type SignalHypothesis } from './element-weights.ts';
import { type PhaseModel, phaseBins } from './phase-model.ts';
import { PhaseTrellis } from './phase-trellis.ts';
import type { CodeTree } from './sender-paths.ts';

export interface Climbed {
  readonly hypothesis: SignalHypothesis;
  /** ln of the evidence over noise alone. */
  readonly evidence: number;
}

/** Evidence of a layout as a function of the signal hypothesis; arrays are made once for all evaluations. */
export class EvidenceSurface {
  private readonly graph: CodeGraph;
  private readonly trees: readonly (CodeTree | null)[];
  private readonly tones: CorrelatedTones;
  private readonly weights: ElementWeights;

  constructor(
    graph: CodeGraph,
    trees: readonly (CodeTree | null)[],
    tones: CorrelatedTones,
    slots: number,
    bins: number,
  ) {
    this.graph = graph;
    this.trees = trees;
    this.tones = tones;
    this.weights = new ElementWeights(slots, bins);
  }

  at(hypothesis: SignalHypothesis, model: PhaseModel): number {
    const trellis = this.trellis(hypothesis, model);
    return trellis.evidence() + this.weights.random.reduce((sum, each) => sum + each, 0);
  }

  trellis(hypothesis: SignalHypothesis, model: PhaseModel): PhaseTrellis {
    this.weights.fill(this.tones, hypothesis);
    const turns = (this.tones.spaceHz + hypothesis.spreadHz - this.tones.markHz) * hypothesis.elementSeconds;
    return new PhaseTrellis(this.graph, this.trees, this.weights, model, turns);
  }
}

export function binsFor(tones: CorrelatedTones, elementSeconds: number): number {
  return phaseBins(Math.abs(tones.spaceHz - tones.markHz) * elementSeconds);
}

type Unknown = 'startSeconds' | 'offsetHz' | 'spreadHz' | 'elementSeconds' | 'driftHzPerSecond' | 'level';

/** Memory is lengthened in steps: a short memory has a broad summit, a long one a sharp one. */
const SLIPS = [0.4, 0.06, 0.003];
const DIFFUSION = 0.002;
const GRID_SECONDS = 0.0007;
const GRID_START = 7;
const GRID_HZ = 0.45;
const GRID_OFFSET = 4;

/**
 * Finds every unknown of a sender by climbing the evidence of all frames of its layout, from a start that ordinary
 * demodulation gives.
 */
export function climb(
  surface: EvidenceSurface,
  start: SignalHypothesis,
  slots: number,
  lostAtChange: boolean,
): Climbed {
  let best: Climbed = { hypothesis: start, evidence: Number.NEGATIVE_INFINITY };
  const tryAt = (hypothesis: SignalHypothesis, model: PhaseModel): boolean => {
    const evidence = surface.at(hypothesis, model);
    if (!(evidence > best.evidence)) return false;
    best = { hypothesis, evidence };
    return true;
  };
  const first: PhaseModel = { slip: SLIPS[0], lostAtChange, diffusion: DIFFUSION };
  // With a short memory the summit is broad, and the two coarse unknowns hardly depend on each other.
  for (let pass = 0; pass < 2; pass++) {
    const { startSeconds } = pass === 0 ? start : best.hypothesis;
    for (let i = -GRID_START; i <= GRID_START; i++) {
      tryAt({ ...(pass === 0 ? start : best.hypothesis), startSeconds: startSeconds + i * GRID_SECONDS }, first);
    }
    const { hypothesis } = best;
    for (let j = -GRID_OFFSET; j <= GRID_OFFSET; j++) {
      tryAt({ ...hypothesis, offsetHz: hypothesis.offsetHz + j * GRID_HZ }, first);
    }
  }
  const length = slots * characterSecondsOf(start);
  const steps: Record<Unknown, number> = {
    startSeconds: 0.0003,
    offsetHz: 0.15,
    spreadHz: 0.3,
    elementSeconds: (0.0006 / length) * start.elementSeconds,
    driftHzPerSecond: 0.6 / length,
    level: 0.06 * start.level,
  };
  for (const slip of SLIPS) {
    const model: PhaseModel = { slip, lostAtChange, diffusion: DIFFUSION };
    best = { hypothesis: best.hypothesis, evidence: surface.at(best.hypothesis, model) };
    for (let round = 0; round < 3; round++) {
      for (const unknown of Object.keys(steps) as Unknown[]) {
        const step = steps[unknown];
        for (const sign of [1, -1]) {
          let moved = false;
          for (let tries = 0; tries < 4; tries++) {
            const { hypothesis } = best;
            if (!tryAt({ ...hypothesis, [unknown]: hypothesis[unknown] + sign * step }, model)) break;
            moved = true;
          }
          if (moved) break;
        }
      }
      for (const unknown of Object.keys(steps) as Unknown[]) steps[unknown] *= 0.6;
    }
  }
  return best;
}

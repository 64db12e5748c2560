import { CodeGains } from './code-gains.ts';
import { ElementSums } from './element-sums.ts';
import type { PhaseModel } from './phase-model.ts';
import { PhaseTrellis } from './phase-trellis.ts';
import type { SenderPaths } from './sender-paths.ts';
import { type CorrelatedTones, characterSecondsOf, type SignalHypothesis, turnsPerSpace } from './signal-hypothesis.ts';

export interface Climbed {
  readonly hypothesis: SignalHypothesis;
  /** ln of the evidence over noise alone. */
  readonly evidence: number;
}

/** Evidence of a layout as a function of the signal hypothesis; arrays are made once for all evaluations. */
export class EvidenceSurface {
  readonly sums: ElementSums;
  private readonly paths: SenderPaths;
  private readonly tones: CorrelatedTones;
  private readonly gains: CodeGains;
  private readonly bins: number;

  constructor(paths: SenderPaths, tones: CorrelatedTones, bins: number) {
    const slots = paths.codesAt.length;
    this.paths = paths;
    this.tones = tones;
    this.bins = bins;
    this.sums = new ElementSums(slots);
    this.gains = new CodeGains(slots, bins);
  }

  /** The same signal under another layout. */
  forPaths(paths: SenderPaths): EvidenceSurface {
    return new EvidenceSurface(paths, this.tones, this.bins);
  }

  turnsPerSpace(hypothesis: SignalHypothesis): number {
    return turnsPerSpace(this.tones, hypothesis);
  }

  at(hypothesis: SignalHypothesis, model: PhaseModel): number {
    const trellis = this.trellis(hypothesis, model);
    return trellis.evidence() + this.sums.random.reduce((sum, each) => sum + each, 0);
  }

  /** Holds until the next call: the arrays behind it are the surface's own. */
  trellis(hypothesis: SignalHypothesis, model: PhaseModel): PhaseTrellis {
    this.sums.fill(this.tones, hypothesis);
    this.gains.fill(this.sums, this.turnsPerSpace(hypothesis), this.paths.codesAt);
    return new PhaseTrellis(this.paths, this.gains, model);
  }
}

type Unknown = 'startSeconds' | 'offsetHz' | 'spreadHz' | 'elementSeconds' | 'driftHzPerSecond' | 'level';

/** Memory is lengthened in steps: a short memory has a broad summit, a long one a sharp one. */
const SLIPS = [0.98, 0.37, 0.022];
const DIFFUSION = 0.015;
const GRID_SECONDS = 0.0007;
const GRID_START = 7;
const GRID_HZ = 0.45;
const GRID_OFFSET = 4;

/**
 * Finds every unknown of a sender by climbing the evidence of all frames of its layout, from a start that ordinary
 * demodulation gives.
 */
export function climb(surface: EvidenceSurface, start: SignalHypothesis): Climbed {
  let best: Climbed = { hypothesis: start, evidence: Number.NEGATIVE_INFINITY };
  const tryAt = (hypothesis: SignalHypothesis, model: PhaseModel): boolean => {
    const evidence = surface.at(hypothesis, model);
    if (!(evidence > best.evidence)) return false;
    best = { hypothesis, evidence };
    return true;
  };
  const first: PhaseModel = { slip: SLIPS[0], diffusion: DIFFUSION };
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
  const length = surface.sums.slots * characterSecondsOf(start);
  const steps: Record<Unknown, number> = {
    startSeconds: 0.0003,
    offsetHz: 0.15,
    spreadHz: 0.3,
    elementSeconds: (0.0006 / length) * start.elementSeconds,
    driftHzPerSecond: 0.6 / length,
    level: 0.06,
  };
  for (const slip of SLIPS) {
    const model: PhaseModel = { slip, diffusion: DIFFUSION };
    best = { hypothesis: best.hypothesis, evidence: surface.at(best.hypothesis, model) };
    for (let round = 0; round < 3; round++) {
      for (const unknown of Object.keys(steps) as Unknown[]) {
        for (const sign of [1, -1]) {
          let moved = false;
          for (let tries = 0; tries < 4; tries++) {
            if (!tryAt(moveBy(best.hypothesis, unknown, sign * steps[unknown]), model)) break;
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

function moveBy(hypothesis: SignalHypothesis, unknown: Unknown, step: number): SignalHypothesis {
  if (unknown !== 'level') return { ...hypothesis, [unknown]: hypothesis[unknown] + step };
  const factor = Math.exp(step);
  return { ...hypothesis, markLevel: factor * hypothesis.markLevel, spaceLevel: factor * hypothesis.spaceLevel };
}

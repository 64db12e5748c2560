import { CodeGains } from './code-gains.ts';
import { ElementSums } from './element-sums.ts';
import { type PhaseModel, WITHOUT_PHASE } from './phase-model.ts';
import { PhaseTrellis, TrellisScratch } from './phase-trellis.ts';
import type { SenderPaths } from './sender-paths.ts';
import { type CorrelatedTones, characterSecondsOf, type SignalHypothesis, turnsPerSpace } from './signal-hypothesis.ts';
import { explained } from './weighed-row.ts';

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
  /** For models that know no phase beyond a character: these need no bins. */
  private readonly gainsOfCharacters: CodeGains;
  private readonly bins: number;
  private readonly scratch: TrellisScratch;

  constructor(paths: SenderPaths, tones: CorrelatedTones, bins: number) {
    const slots = paths.codesAt.length;
    this.paths = paths;
    this.tones = tones;
    this.bins = bins;
    this.sums = new ElementSums(slots);
    this.gains = new CodeGains(slots, bins);
    this.gainsOfCharacters = new CodeGains(slots, 1);
    this.scratch = new TrellisScratch(paths, bins);
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
    return trellis.evidence() + explained(this.sums);
  }

  /** The tones in every element under a hypothesis; holds until the next call. */
  measure(hypothesis: SignalHypothesis): ElementSums {
    this.sums.fill(this.tones, hypothesis);
    return this.sums;
  }

  /** Holds until the next call: the arrays behind it are the surface's own. Gains are those of the layout's codes, or of all. */
  trellis(hypothesis: SignalHypothesis, model: PhaseModel, codes: 'of-layout' | 'all' = 'of-layout'): PhaseTrellis {
    this.measure(hypothesis);
    const gains = model.slip === 1 ? this.gainsOfCharacters : this.gains;
    gains.fill(this.sums, this.turnsPerSpace(hypothesis), codes === 'all' ? null : this.paths.codesAt);
    return new PhaseTrellis(this.paths, gains, model, this.scratch);
  }
}

type Unknown =
  | 'startSeconds'
  | 'offsetHz'
  | 'apartHz'
  | 'markHz'
  | 'spaceHz'
  | 'elementSeconds'
  | 'driftHzPerSecond'
  | 'level';

/** Memory is lengthened in steps: a short memory has a broad summit, a long one a sharp one. */
const MEMORIES: readonly PhaseModel[] = [
  WITHOUT_PHASE,
  { slip: 0.37, diffusion: 0.015 },
  { slip: 0.022, diffusion: 0.015 },
];
const GRID: readonly { readonly unknown: Unknown; readonly step: number; readonly reach: number }[] = [
  { unknown: 'startSeconds', step: 0.0007, reach: 7 },
  { unknown: 'markHz', step: 0.6, reach: 6 },
  { unknown: 'spaceHz', step: 0.6, reach: 6 },
  { unknown: 'driftHzPerSecond', step: 0.25, reach: 5 },
];

/** Nats that a memory of some characters must gain over none: senders that hold their phase gain several times as much. */
const LEAST_GAIN = 10;
/** Lengths of the stop element in use (common practice). */
const STOPS = [1, 1.42, 1.5, 2];

/**
 * Finds every unknown of a sender by climbing the evidence of all frames of its layout, from a start that ordinary
 * demodulation gives. Null where the phase does not even hold from one character to the next.
 */
export function climb(surface: EvidenceSurface, start: SignalHypothesis): Climbed | null {
  let best: Climbed = { hypothesis: start, evidence: Number.NEGATIVE_INFINITY };
  const tryAt = (hypothesis: SignalHypothesis, model: PhaseModel): boolean => {
    const evidence = surface.at(hypothesis, model);
    if (!(evidence > best.evidence)) return false;
    best = { hypothesis, evidence };
    return true;
  };
  const [first, second] = MEMORIES;
  const along = (unknown: Unknown, step: number, reach: number, model: PhaseModel): void => {
    const { hypothesis } = best;
    for (let i = -reach; i <= reach; i++) if (i !== 0) tryAt(moveBy(hypothesis, unknown, i * step, middle), model);
  };
  const middle = surface.sums.slots / 2;
  tryAt(start, first);
  // With a short memory the summit is broad, and the coarse unknowns hardly depend on each other.
  for (const share of [1, 0.5])
    for (const { unknown, step, reach } of GRID) along(unknown, step, Math.ceil(share * reach), first);
  for (const stopElements of STOPS) tryAt(withStop(best.hypothesis, stopElements), first);
  const length = surface.sums.slots * characterSecondsOf(start);
  const steps: Record<Exclude<Unknown, 'markHz' | 'spaceHz'>, number> = {
    startSeconds: 0.0003,
    offsetHz: 0.15,
    apartHz: 0.3,
    elementSeconds: (0.0006 / length) * start.elementSeconds,
    driftHzPerSecond: 0.6 / length,
    level: 0.06,
  };
  for (const model of MEMORIES) {
    best = { hypothesis: best.hypothesis, evidence: surface.at(best.hypothesis, model) };
    if (model === second) {
      // By now the tones' distance may have made up for elements that a wrong stop made too long; then only both together go further.
      for (const stopElements of STOPS) tryAt(withStop(best.hypothesis, stopElements), model);
      along('driftHzPerSecond', 0.1, 2, model);
    }
    for (let round = 0; round < 3; round++) {
      for (const unknown of Object.keys(steps) as (keyof typeof steps)[]) {
        for (const sign of [1, -1]) {
          let moved = false;
          for (let tries = 0; tries < 4; tries++) {
            if (!tryAt(moveBy(best.hypothesis, unknown, sign * steps[unknown], middle), model)) break;
            moved = true;
          }
          if (moved) break;
        }
      }
      for (const unknown of Object.keys(steps) as (keyof typeof steps)[]) steps[unknown] *= 0.6;
    }
    if (model === second && best.evidence < surface.at(best.hypothesis, first) + LEAST_GAIN) return null;
  }
  return best;
}

/** The same characters, otherwise divided into elements about their middles. */
function withStop(hypothesis: SignalHypothesis, stopElements: number): SignalHypothesis {
  const elementSeconds = characterSecondsOf(hypothesis) / (6 + stopElements);
  const startSeconds = hypothesis.startSeconds + 3 * (hypothesis.elementSeconds - elementSeconds);
  return { ...hypothesis, stopElements, elementSeconds, startSeconds };
}

/** Part of a text's time that is space. */
const SPACE_SHARE = 0.4;

/** Moves one unknown, others with it so that what they do together stays: mean frequency, and time in the middle. */
function moveBy(at: SignalHypothesis, unknown: Unknown, step: number, middleSlot: number): SignalHypothesis {
  const { offsetHz, spreadHz, markLevel, spaceLevel } = at;
  switch (unknown) {
    case 'markHz':
      return { ...at, offsetHz: offsetHz + step, spreadHz: spreadHz - step };
    case 'spaceHz':
      return { ...at, spreadHz: spreadHz + step };
    case 'apartHz':
      return { ...at, offsetHz: offsetHz - SPACE_SHARE * step, spreadHz: spreadHz + step };
    case 'elementSeconds': {
      const startSeconds = at.startSeconds - middleSlot * (6 + at.stopElements) * step;
      return { ...at, startSeconds, elementSeconds: at.elementSeconds + step };
    }
    case 'level': {
      const factor = Math.exp(step);
      return { ...at, markLevel: factor * markLevel, spaceLevel: factor * spaceLevel };
    }
    default:
      return { ...at, [unknown]: at[unknown] + step };
  }
}

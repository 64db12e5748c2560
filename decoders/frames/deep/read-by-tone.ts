import type { DemodulatedBurst } from '../../teletype/demodulate.ts';
import type { CodeLikelihoods } from '../slot-scores.ts';
import { ElementSums } from './element-sums.ts';
import { oscillatorLikelihoods } from './oscillator-likelihoods.ts';
import { oscillatorOffsets } from './oscillator-offsets.ts';
import {
  type CorrelatedTones,
  correlatedTones,
  hypothesisOf,
  type SignalHypothesis,
  turnsPerSpace,
} from './signal-hypothesis.ts';
import { type Hold, toneLikelihoods } from './tone-likelihoods.ts';

/** Hertz by which the tones that demodulation found may be off, tried in ever smaller steps. */
const FIRST_STEP_HZ = 0.8;
const ROUNDS = 4;
/** Nats by which phases that outlast the tone must explain a burst better than those that do not. */
const LEAST_LEAD = 10;

/**
 * Codes of a burst weighed for a sender whose phase holds at least as long as its tone does: what follows in one tone is
 * summed with its phase, which is worth about one decibel; where each tone comes back in the phase of an oscillator that
 * ran on, all of it is. Null where the burst bears neither out.
 */
export function readByTone(signal: DemodulatedBurst): CodeLikelihoods | null {
  const burst = new BurstByTone(signal);
  const { tone, hypothesis } = burst.tuned();
  const oscillators = signal.isRegular ? burst.byOscillators(tone, hypothesis) : null;
  if (oscillators && explained(oscillators) > explained(tone) + LEAST_LEAD) return oscillators;
  return explained(tone) > explained(burst.byTones(hypothesisOf(signal, 0), 'element')) ? tone : null;
}

class BurstByTone {
  private readonly signal: DemodulatedBurst;
  private readonly tones: CorrelatedTones;
  private readonly sums: ElementSums;

  constructor(signal: DemodulatedBurst) {
    this.signal = signal;
    this.tones = correlatedTones(signal);
    this.sums = new ElementSums(signal.soft.count);
  }

  byTones(at: SignalHypothesis, hold: Hold): CodeLikelihoods {
    this.sums.fill(this.tones, at, this.signal.soft.startSeconds);
    return toneLikelihoods(this.sums, turnsPerSpace(this.tones, at), hold);
  }

  /** Moves both tones to where a burst of any text is explained best. */
  tuned(): { readonly tone: CodeLikelihoods; readonly hypothesis: SignalHypothesis } {
    let hypothesis = hypothesisOf(this.signal, 0);
    let tone = this.byTones(hypothesis, 'tone');
    for (let round = 0, stepHz = FIRST_STEP_HZ; round < ROUNDS; round++, stepHz /= 2) {
      for (const unknown of ['offsetHz', 'spreadHz'] as const) {
        for (const sign of [1, -1]) {
          const trial = { ...hypothesis, [unknown]: hypothesis[unknown] + sign * stepHz };
          const weighed = this.byTones(trial, 'tone');
          if (explained(weighed) <= explained(tone)) continue;
          tone = weighed;
          hypothesis = trial;
          break;
        }
      }
    }
    return { tone, hypothesis };
  }

  byOscillators(tone: CodeLikelihoods, from: SignalHypothesis): CodeLikelihoods {
    const { startSeconds } = this.signal.soft;
    const { characterSeconds } = this.signal;
    this.sums.fill(this.tones, from, startSeconds, 'own');
    const { markHz, spaceHz, driftHzPerSecond } = oscillatorOffsets(this.sums, tone, characterSeconds);
    // Offsets hold in the middle of the slots; a hypothesis counts them from the origin, its drift from the burst's middle.
    const middleSeconds = startSeconds[0] + (startSeconds.length / 2) * characterSeconds;
    const hypothesis: SignalHypothesis = {
      ...from,
      offsetHz: from.offsetHz + markHz - driftHzPerSecond * (middleSeconds - this.tones.middleSeconds),
      spreadHz: from.spreadHz + spaceHz - markHz,
      driftHzPerSecond: from.driftHzPerSecond + driftHzPerSecond,
    };
    this.sums.fill(this.tones, hypothesis, startSeconds, 'own');
    return oscillatorLikelihoods(this.sums, tone);
  }
}

/** ln of the likelihood of a burst of any text, over noise alone. */
function explained({ random }: CodeLikelihoods): number {
  return random.reduce((sum, each) => sum + each, 0);
}

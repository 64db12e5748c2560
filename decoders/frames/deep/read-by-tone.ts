import type { DemodulatedBurst } from '../../teletype/demodulate.ts';
import type { CodeLikelihoods } from '../slot-scores.ts';
import { ElementSums } from './element-sums.ts';
import { tunedOscillators } from './oscillator-likelihoods.ts';
import {
  type CorrelatedTones,
  correlatedTones,
  hypothesisOf,
  type SignalHypothesis,
  turnsPerSpace,
} from './signal-hypothesis.ts';
import { type Hold, toneLikelihoods } from './tone-likelihoods.ts';
import { explained } from './weighed-row.ts';

/** Hertz by which the tones that demodulation found may be off, tried in ever smaller steps. */
const FIRST_STEP_HZ = 0.8;
const ROUNDS = 4;
/** Nats by which phases that outlast the tone must explain a burst better than those that do not. */
const LEAST_LEAD = 10;

/** Codes of a burst, and what the sender's phase was found to do. */
export interface ReadByTone {
  readonly likelihoods: CodeLikelihoods;
  /** Whether it lasts as long as a tone, or each tone comes back in the phase of an oscillator that ran on. */
  readonly holds: 'as-tone' | 'as-oscillators';
}

/**
 * Codes of a burst weighed for a sender whose phase holds at least as long as its tone does: what follows in one tone is
 * summed with its phase, which is worth about one decibel; where each tone comes back in the phase of an oscillator that
 * ran on, all of it is. Null where the burst bears neither out.
 */
export function readByTone(signal: DemodulatedBurst): ReadByTone | null {
  const burst = new BurstByTone(signal);
  const { tone, hypothesis } = burst.tuned();
  const oscillators = signal.isRegular ? burst.byOscillators(tone, hypothesis) : null;
  if (oscillators && explained(oscillators) > explained(tone) + LEAST_LEAD) {
    return { likelihoods: oscillators, holds: 'as-oscillators' };
  }
  const withoutPhase = burst.byTones(hypothesisOf(signal, 0), 'element');
  return explained(tone) > explained(withoutPhase) ? { likelihoods: tone, holds: 'as-tone' } : null;
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
    return tunedOscillators(this.tones, this.sums, from, tone, this.signal.soft.startSeconds);
  }
}

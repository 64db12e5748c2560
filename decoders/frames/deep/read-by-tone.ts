import type { DemodulatedBurst } from '../../teletype/demodulate.ts';
import type { CodeLikelihoods } from '../slot-scores.ts';
import { ElementSums } from './element-sums.ts';
import { correlatedTones, hypothesisOf, type SignalHypothesis, turnsPerSpace } from './signal-hypothesis.ts';
import { type Hold, toneLikelihoods } from './tone-likelihoods.ts';

/** Hertz by which the tones that demodulation found may be off, tried in ever smaller steps. */
const FIRST_STEP_HZ = 0.8;
const ROUNDS = 4;

/**
 * Codes of a burst weighed for a sender whose phase holds as long as its tone does: what follows in one tone is summed
 * with its phase, which is worth about one decibel. Null where the burst does not bear that out.
 */
export function readByTone(signal: DemodulatedBurst): CodeLikelihoods | null {
  const { startSeconds } = signal.soft;
  const tones = correlatedTones(signal);
  const sums = new ElementSums(signal.soft.count);
  const weighedBy = (hold: Hold, hypothesis: SignalHypothesis): CodeLikelihoods => {
    sums.fill(tones, hypothesis, startSeconds);
    return toneLikelihoods(sums, turnsPerSpace(tones, hypothesis), hold);
  };
  let hypothesis = hypothesisOf(signal, 0);
  let best = weighedBy('tone', hypothesis);
  const withoutPhase = explained(weighedBy('element', hypothesis));
  for (let round = 0, step = FIRST_STEP_HZ; round < ROUNDS; round++, step /= 2) {
    for (const unknown of ['offsetHz', 'spreadHz'] as const) {
      for (const sign of [1, -1]) {
        const trial = { ...hypothesis, [unknown]: hypothesis[unknown] + sign * step };
        const weighed = weighedBy('tone', trial);
        if (explained(weighed) <= explained(best)) continue;
        best = weighed;
        hypothesis = trial;
        break;
      }
    }
  }
  return explained(best) > withoutPhase ? best : null;
}

/** ln of the likelihood of a burst of any text, over noise alone. */
function explained({ random }: CodeLikelihoods): number {
  return random.reduce((sum, each) => sum + each, 0);
}

import { CODE_COUNT, ELEMENTS_PER_SLOT } from '../../teletype/soft-characters.ts';
import type { CodeLikelihoods } from '../slot-scores.ts';
import type { ElementSums } from './element-sums.ts';
import { oscillatorOffsets } from './oscillator-offsets.ts';
import { type CorrelatedTones, characterSecondsOf, type SignalHypothesis } from './signal-hypothesis.ts';
import { TonePhase, takeTones } from './tone-phase.ts';
import { overRandomCode } from './weighed-row.ts';

/** Chance that a character's phases are not those of its neighbours. */
const LOST_PHASE = 0.02;
/** What was sent says where the phases are, and these say what was sent: so often, each time better. */
const PASSES = 4;

/**
 * The likelihoods of two oscillators once their frequencies and drift are set to where their phases hold best.
 *
 * @param sums are filled anew.
 * @param first the codes as weighed without memory.
 * @param startSeconds start of each slot; the hypothesis' clock when left out.
 */
export function tunedOscillators(
  tones: CorrelatedTones,
  sums: ElementSums,
  from: SignalHypothesis,
  first: CodeLikelihoods,
  startSeconds?: Float64Array,
): CodeLikelihoods {
  const characterSeconds = characterSecondsOf(from);
  sums.fill(tones, from, startSeconds, 'own');
  const { markHz, spaceHz, driftHzPerSecond } = oscillatorOffsets(sums, first, characterSeconds);
  // Offsets hold in the middle of the slots; a hypothesis counts its drift from the burst's middle.
  const middleSeconds = (startSeconds?.[0] ?? from.startSeconds) + (sums.slots / 2) * characterSeconds;
  const hypothesis: SignalHypothesis = {
    ...from,
    offsetHz: from.offsetHz + markHz - driftHzPerSecond * (middleSeconds - tones.middleSeconds),
    spreadHz: from.spreadHz + spaceHz - markHz,
    driftHzPerSecond: from.driftHzPerSecond + driftHzPerSecond,
  };
  sums.fill(tones, hypothesis, startSeconds, 'own');
  return oscillatorLikelihoods(sums, first);
}

/**
 * Likelihood of every code in every slot for a sender with two oscillators that run on while the other is heard: each tone
 * comes back in the phase that it would have had. The phase of either is taken from the characters before and after, never
 * from the one that is weighed.
 *
 * Of one tone with sum u in a character and sum v around it (the phase then has the density exp(Re(v e^(-j psi))), of von
 * Mises), the likelihood over noise is I0(|u + v|) / I0(|v|) (Mardia and Jupp, Directional Statistics).
 *
 * @param sums with the phase of spaces counted against their own tone.
 * @param first the codes as weighed without memory: where the phases are first taken from, and what is left where they are lost.
 */
export function oscillatorLikelihoods(sums: ElementSums, first: CodeLikelihoods): CodeLikelihoods {
  const { slots } = sums;
  const mark = new TonePhase(slots);
  const space = new TonePhase(slots);
  const codes = new CodeSums();
  let weighed = first;
  for (let pass = 0; pass < PASSES; pass++) {
    takeTones(sums, weighed, mark, space);
    mark.spread();
    space.spread();
    const logLikelihoods = new Float64Array(slots * CODE_COUNT);
    const random = new Float64Array(slots);
    for (let slot = 0; slot < slots; slot++) {
      codes.fill(sums, slot);
      const row = logLikelihoods.subarray(slot * CODE_COUNT, (slot + 1) * CODE_COUNT);
      for (let code = 0; code < CODE_COUNT; code++) {
        const kept =
          mark.logLikelihood(slot, codes.markRe[code], codes.markIm[code]) +
          space.logLikelihood(slot, codes.spaceRe[code], codes.spaceIm[code]) +
          codes.bias[code];
        const lost = first.logLikelihoods[slot * CODE_COUNT + code] + first.random[slot];
        const [more, less] = kept > lost ? [kept, lost] : [lost, kept];
        const share = kept > lost ? LOST_PHASE : 1 - LOST_PHASE;
        row[code] = more + Math.log(1 - share + share * Math.exp(less - more));
      }
      random[slot] = overRandomCode(row);
    }
    weighed = { count: slots, logLikelihoods, random };
  }
  return weighed;
}

/** Both tones of a character summed up under each code. */
class CodeSums {
  readonly markRe = new Float64Array(CODE_COUNT);
  readonly markIm = new Float64Array(CODE_COUNT);
  readonly spaceRe = new Float64Array(CODE_COUNT);
  readonly spaceIm = new Float64Array(CODE_COUNT);
  readonly bias = new Float64Array(CODE_COUNT);

  fill(sums: ElementSums, slot: number): void {
    const { markRe, markIm, spaceRe, spaceIm, bias } = this;
    const first = slot * ELEMENTS_PER_SLOT;
    const stop = first + ELEMENTS_PER_SLOT - 1;
    markRe[0] = sums.markRe[stop];
    markIm[0] = sums.markIm[stop];
    spaceRe[0] = sums.spaceRe[first];
    spaceIm[0] = sums.spaceIm[first];
    bias[0] = sums.spaceBias + sums.stopBias;
    for (let half = 1, element = first + 1; half < CODE_COUNT; half *= 2, element++) {
      for (let code = 0; code < half; code++) {
        markRe[code + half] = markRe[code] + sums.markRe[element];
        markIm[code + half] = markIm[code] + sums.markIm[element];
        spaceRe[code + half] = spaceRe[code];
        spaceIm[code + half] = spaceIm[code];
        bias[code + half] = bias[code] + sums.markBias;
        spaceRe[code] += sums.spaceRe[element];
        spaceIm[code] += sums.spaceIm[element];
        bias[code] += sums.spaceBias;
      }
    }
  }
}

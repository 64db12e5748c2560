import { CODE_COUNT } from '../../teletype/soft-characters.ts';
import type { CodeLikelihoods } from '../slot-scores.ts';
import type { HeldPhase } from './held-phase.ts';
import { type PhaseTrellis, sumOf } from './phase-trellis.ts';
import type { SenderPaths } from './sender-paths.ts';

/** Chance that a slot holds a code that the layout has no place for. */
const ANY_CODE = 0.01;

/**
 * Likelihood of every code in every slot for a sender whose phase holds, whatever the other slots hold: a forward-backward
 * pass over its phase (Rabiner, Proc. IEEE 77 (1989) 257). Of the layout it takes only which codes may stand in which slot, literals
 * above all, which pin the phase down; what it says of a slot is the signal's word, not the layout's, so that several
 * receivers' can be multiplied.
 */
export function heldLikelihoods({ surface, paths, hypothesis, model }: HeldPhase): CodeLikelihoods {
  return likelihoodsThroughPhase(surface.trellis(hypothesis, model, 'all'), codePriors(paths));
}

/** What is known of each slot's code before the signal: `slots * 32`. A code that the layout has no place for is not ruled out. */
export function codePriors({ codesAt }: SenderPaths): Float64Array {
  const priors = new Float64Array(codesAt.length * CODE_COUNT);
  for (const [slot, codes] of codesAt.entries()) priors.set(priorOf(codes), slot * CODE_COUNT);
  return priors;
}

/**
 * The same under any prior of the codes.
 *
 * @param trellis its gains must hold all codes.
 * @param priors `slots * 32`; a slot's own plays no part in what is said of it.
 */
export function likelihoodsThroughPhase(trellis: PhaseTrellis, priors: Float64Array): CodeLikelihoods {
  const { bins, slots, gains } = trellis;
  // Phases before each slot by all slots before it, spread; and after each slot by all behind it.
  const before = new Float64Array(slots * bins);
  const behind = new Float64Array((slots + 1) * bins).fill(1, slots * bins);
  let here: Float64Array = new Float64Array(bins).fill(1 / bins);
  for (let slot = 0; slot < slots; slot++) {
    trellis.mix(here, 0, before, slot * bins);
    const next = new Float64Array(bins);
    for (let code = 0; code < CODE_COUNT; code++) {
      trellis.key(slot, code, priors[slot * CODE_COUNT + code], before, slot * bins, next, 0);
    }
    here = scaled(next);
  }
  for (let slot = slots - 1; slot > 0; slot--) {
    const sum = new Float64Array(bins);
    for (let code = 0; code < CODE_COUNT; code++) {
      for (let b = 0; b < bins; b++) sum[b] += priors[slot * CODE_COUNT + code] * ahead(slot, code, b);
    }
    trellis.mix(scaled(sum), 0, behind, slot * bins);
  }
  const logLikelihoods = new Float64Array(slots * CODE_COUNT);
  for (let slot = 0; slot < slots; slot++) {
    const row = logLikelihoods.subarray(slot * CODE_COUNT, (slot + 1) * CODE_COUNT);
    for (let code = 0; code < CODE_COUNT; code++) {
      for (let b = 0; b < bins; b++) row[code] += before[slot * bins + b] * ahead(slot, code, b);
    }
    const mean = sumOf(row, 0, CODE_COUNT) / CODE_COUNT;
    for (let code = 0; code < CODE_COUNT; code++) row[code] = Math.log(Math.max(row[code] / mean, 1e-300));
  }
  return { count: slots, logLikelihoods, random: new Float64Array(slots) };

  /** Likelihood of a code at a phase, and of all behind it. */
  function ahead(slot: number, code: number, phase: number): number {
    const { whole, part } = gains.turnOfCode[code];
    const low = (phase + whole) % bins;
    const high = low + 1 === bins ? 0 : low + 1;
    const after = (slot + 1) * bins;
    const gain = gains.gains[(slot * CODE_COUNT + code) * bins + phase];
    return gain * ((1 - part) * behind[after + low] + part * behind[after + high]);
  }
}

function priorOf(codes: Int32Array | undefined): Float64Array {
  const prior = new Float64Array(CODE_COUNT).fill(ANY_CODE / CODE_COUNT);
  if (codes === undefined || codes.length === 0) return prior.fill(1 / CODE_COUNT);
  for (const code of codes) prior[code] += (1 - ANY_CODE) / codes.length;
  return prior;
}

function scaled(values: Float64Array): Float64Array {
  const sum = sumOf(values, 0, values.length);
  for (let i = 0; i < values.length; i++) values[i] /= sum;
  return values;
}

import { CODE_COUNT } from '../../teletype/soft-characters.ts';
import type { CodeLikelihoods } from '../slot-scores.ts';

/** Brings a slot's log-likelihoods over noise to those over a code drawn at random; returns that code's, over noise. */
export function overRandomCode(row: Float64Array): number {
  let most = Number.NEGATIVE_INFINITY;
  for (let code = 0; code < CODE_COUNT; code++) most = Math.max(most, row[code]);
  let mean = 0;
  for (let code = 0; code < CODE_COUNT; code++) mean += Math.exp(row[code] - most) / CODE_COUNT;
  const random = most + Math.log(mean);
  for (let code = 0; code < CODE_COUNT; code++) row[code] -= random;
  return random;
}

/** ln of the likelihood of any text in all slots, over noise alone. */
export function explained({ random }: Pick<CodeLikelihoods, 'random'>): number {
  return random.reduce((sum, each) => sum + each, 0);
}

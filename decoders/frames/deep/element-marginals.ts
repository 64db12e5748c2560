import { CODE_COUNT, ELEMENTS_PER_SLOT } from '../../teletype/soft-characters.ts';
import type { SoftCharacters } from '../../teletype/types.ts';
import type { CodeLikelihoods } from '../slot-scores.ts';

/**
 * Soft characters that hold, element by element, what codes weighed as wholes say: each data element's log-likelihood ratio over
 * all codes, the codes being equally likely. Start and stop, which no code tells apart, stay as measured.
 */
export function withMarginals(
  soft: SoftCharacters,
  { logLikelihoods }: Pick<CodeLikelihoods, 'logLikelihoods'>,
): SoftCharacters {
  const elementLlr = soft.elementLlr.slice();
  for (let slot = 0; slot < soft.count; slot++) {
    for (let bit = 0; bit < ELEMENTS_PER_SLOT - 2; bit++) {
      let mark = 0;
      let space = 0;
      for (let code = 0; code < CODE_COUNT; code++) {
        const likelihood = Math.exp(logLikelihoods[slot * CODE_COUNT + code]);
        if ((code >> bit) & 1) mark += likelihood;
        else space += likelihood;
      }
      elementLlr[slot * ELEMENTS_PER_SLOT + 1 + bit] = Math.log(Math.max(mark, 1e-300) / Math.max(space, 1e-300));
    }
  }
  return { ...soft, elementLlr };
}

import type { ParameterSource } from '../mission/types.ts';
import { withoutDust } from './rounding.ts';

export type Derivation = Extract<ParameterSource, { source: 'derive' }>;

/** The derived value of operands in the order of `derivation.of`; null when it has none, as when dividing by zero. */
export function derive(
  derivation: Pick<Derivation, 'operation' | 'factor'>,
  operands: readonly number[],
): number | null {
  const value = combine(derivation, operands);
  return Number.isFinite(value) ? withoutDust(value) : null;
}

function combine({ operation, factor }: Pick<Derivation, 'operation' | 'factor'>, operands: readonly number[]): number {
  const [first, second] = operands;
  switch (operation) {
    case 'sum':
      return operands.reduce((sum, each) => sum + each, 0);
    case 'difference':
      return first - second;
    case 'product':
      return operands.reduce((product, each) => product * each, 1);
    case 'quotient':
      return first / second;
    case 'mean':
      return operands.reduce((sum, each) => sum + each, 0) / operands.length;
    case 'least':
      return Math.min(...operands);
    case 'greatest':
      return Math.max(...operands);
    case 'scale':
      return first * (factor ?? 1);
  }
}

import type { LimitState } from '../../decoders/engineering/types.ts';

export type OverallState = 'steady' | 'look' | 'act' | 'unknown';

export interface Overall {
  readonly state: OverallState;
  /** Parameters outside their limits, the worst first, else in the order given. */
  readonly concerns: readonly string[];
}

/** How a satellite is, from where its parameters stand. Nothing known is never called steady. */
export function overallOf(parameters: readonly { readonly parameter: string; readonly state: LimitState }[]): Overall {
  const standing = (state: LimitState) =>
    parameters.filter((each) => each.state === state).map((each) => each.parameter);
  const hard = standing('hard');
  const soft = standing('soft');
  const concerns = [...hard, ...soft];
  if (hard.length > 0) return { state: 'act', concerns };
  if (soft.length > 0) return { state: 'look', concerns };
  return { state: standing('normal').length > 0 ? 'steady' : 'unknown', concerns };
}

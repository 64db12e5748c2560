import type { CalibrationStep, Condition, Mission } from '../../decoders/mission/types.ts';

/**
 * Parameters whose last reading from another frame a frame's readings may need, each with the longest time in seconds
 * that it may lie back.
 */
export function earlierNeeds(mission: Mission): ReadonlyMap<string, number> {
  const needs = new Map<string, number>();
  const need = (parameter: string, seconds: number | undefined) => {
    if (seconds !== undefined) needs.set(parameter, Math.max(seconds, needs.get(parameter) ?? 0));
  };
  const needFor = (condition: Condition | undefined) => {
    if (condition !== undefined) need(condition.parameter, condition.withinSeconds);
  };
  for (const { source, calibrations, limits } of mission.parameters) {
    if (source.source === 'derive') for (const operand of source.of) need(operand, source.withinSeconds);
    for (const { value: steps } of calibrations) conditionsOf(steps).forEach(needFor);
    for (const { value: sets } of limits) for (const { when } of sets) needFor(when);
  }
  return needs;
}

function conditionsOf(steps: readonly CalibrationStep[]): Condition[] {
  return steps.flatMap((step) =>
    step.step === 'choose'
      ? step.choices.flatMap(({ when, steps: chosen }) => [
          ...(when === undefined ? [] : [when]),
          ...conditionsOf(chosen),
        ])
      : [],
  );
}

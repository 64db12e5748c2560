import type { ParameterNow } from '../../../server/http/messages.ts';

export interface Group {
  readonly id: string;
  readonly title: string;
  readonly parameters: readonly ParameterNow[];
}

/** Groups that have a place of their own on the first page, in this order. */
const PLACES: readonly (readonly [id: string, title: string])[] = [
  ['battery', 'Battery'],
  ['temperature', 'Temperature'],
  ['solar', 'Solar current'],
];

const OTHERWISE = 'Other readings';

/** The parameters as the page shows them: the three groups with a place of their own, then whatever else there is. */
export function byGroup(parameters: readonly ParameterNow[]): {
  readonly places: readonly Group[];
  readonly others: readonly Group[];
} {
  const places = PLACES.map(([id, title]) => ({
    id,
    title,
    parameters: parameters.filter(({ group }) => group === id),
  }));
  const rest = parameters.filter(({ group }) => !PLACES.some(([id]) => id === group));
  const named = [...new Set(rest.map(({ group }) => group))].sort((a, b) => Number(a === null) - Number(b === null));
  const others = named.map((group) => ({
    id: group ?? '',
    title: group === null ? OTHERWISE : group.charAt(0).toUpperCase() + group.slice(1),
    parameters: rest.filter((one) => one.group === group),
  }));
  return { places: places.filter((group) => group.parameters.length > 0), others };
}

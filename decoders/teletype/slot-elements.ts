import { ELEMENTS_PER_SLOT } from './soft-characters.ts';

/** Times of all elements of all slots, with what start and stop are known to be. */
export function elementTimes(
  starts: Float64Array,
  elementSeconds: number,
): { readonly times: Float64Array; readonly known: Float64Array } {
  const times = new Float64Array(starts.length * ELEMENTS_PER_SLOT);
  const known = new Float64Array(times.length).fill(Number.NaN);
  for (let i = 0; i < times.length; i++) {
    const element = i % ELEMENTS_PER_SLOT;
    times[i] = starts[(i - element) / ELEMENTS_PER_SLOT] + element * elementSeconds;
    if (element === 0) known[i] = 0;
    if (element === ELEMENTS_PER_SLOT - 1) known[i] = 1;
  }
  return { times, known };
}

import type { Slots, Tone } from './kernel.ts';

/** A tone's frequency is renewed so often, for those that drift. */
const RENEW_SECONDS = 0.25;

/** Slots over which a tone's frequency is held. */
export function slotsPerGroup({ samples, sampleRateHz }: Slots): number {
  return Math.max(1, Math.floor((RENEW_SECONDS * sampleRateHz) / samples));
}

/** Radians from sample to sample at the middle of slots `first`..`last` - 1. */
export function stepAt(
  { hz, hzPerSecond }: Tone,
  { samples, sampleRateHz }: Slots,
  first: number,
  last: number,
): number {
  const middle = ((first + last) / 2) * (samples / sampleRateHz);
  return (2 * Math.PI * (hz + hzPerSecond * middle)) / sampleRateHz;
}

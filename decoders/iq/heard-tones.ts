import type { BurstCarrier } from '../signal/types.ts';
import type { Burst } from '../teletype/types.ts';

/** Where the middle of a keyed carrier's tones is put to be heard. */
export const HEARD_MIDDLE_HZ = 1700;

type Tones = Pick<Burst, 'markHz' | 'spaceHz' | 'driftHzPerSecond'>;

/** Tones of a burst from a band as `BurstListener` makes them heard. */
export function heardTones(
  { markHz, spaceHz, driftHzPerSecond }: Tones,
  modulation: BurstCarrier['modulation'],
): Tones {
  if (modulation === 'fm') return { markHz, spaceHz, driftHzPerSecond };
  const middle = (markHz + spaceHz) / 2 - HEARD_MIDDLE_HZ;
  return { markHz: markHz - middle, spaceHz: spaceHz - middle, driftHzPerSecond: 0 };
}

import { HEARD_MIDDLE_HZ } from '../iq/heard-tones.ts';
import type { BurstCarrier } from '../signal/types.ts';
import type { Burst } from '../teletype/types.ts';

/** Below it what stands beside the tones would fold over zero into them. */
const LEAST_MIDDLE_HZ = 1200;

/** A keyed carrier in a complex band, and where the middle of its tones is heard. */
export interface KeyedPlace {
  readonly carrier: BurstCarrier;
  readonly middleHz: number;
}

/**
 * As what a burst of a complex band is cut out: as a keyed carrier, whatever sent it. Tones on an FM carrier stand in its
 * upper side band as they were, at the pitch that they have in its audio; read from there they lose 0.2 dB against the band, while
 * a discriminator, below its threshold, loses 8.
 */
export function keyedPlace({
  carrier,
  markHz,
  spaceHz,
  startSeconds,
  endSeconds,
  driftHzPerSecond,
}: Burst): KeyedPlace {
  const toneMiddleHz = (markHz + spaceHz) / 2;
  if (carrier === undefined) {
    const seconds = (startSeconds + endSeconds) / 2;
    const figures = { absoluteHz: null, driftHzPerSecond, uncertaintyHz: Number.POSITIVE_INFINITY, track: [] };
    return { carrier: { modulation: 'fsk', seconds, carrierHz: toneMiddleHz, ...figures }, middleHz: HEARD_MIDDLE_HZ };
  }
  if (carrier.modulation === 'fsk') return { carrier, middleHz: HEARD_MIDDLE_HZ };
  return {
    carrier: { ...carrier, modulation: 'fsk', carrierHz: carrier.carrierHz + toneMiddleHz },
    middleHz: toneMiddleHz < LEAST_MIDDLE_HZ ? HEARD_MIDDLE_HZ : toneMiddleHz,
  };
}

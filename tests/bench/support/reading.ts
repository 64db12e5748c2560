import { knownBeacons } from '../../../decoders/frames/known-beacons.ts';
import { readBurstFrames } from '../../../decoders/frames/read-burst.ts';
import type { DecodedFrame } from '../../../decoders/frames/types.ts';
import type { Mission } from '../../../decoders/mission/types.ts';
import { BurstReader } from '../../../decoders/teletype/burst-reader.ts';
import { RATE_HZ } from './signal.ts';

export interface Reading {
  /** Bursts found. */
  readonly bursts: number;
  readonly frames: readonly DecodedFrame[];
}

/** Samples read as a recording is, its mission loaded: both searches, demodulation, decision. */
export function readSamples(samples: Float32Array, mission: Mission): Reading {
  const { baud } = mission.beacon;
  const reader = new BurstReader({
    sampleRateHz: RATE_HZ,
    ...(baud === undefined ? {} : { bauds: [baud] }),
    beacons: knownBeacons([mission], null).map((beacon) => ({ beacon })),
  });
  let bursts = 0;
  const frames: DecodedFrame[] = [];
  const take: Parameters<BurstReader['end']>[0] = ({ signal }) => {
    bursts++;
    for (const { frame } of readBurstFrames(signal, [mission]).frames) frames.push(frame);
  };
  reader.push(samples, take);
  reader.end(take);
  return { bursts, frames };
}

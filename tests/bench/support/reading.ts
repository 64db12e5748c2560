import { knownBeacons } from '../../../decoders/frames/known-beacons.ts';
import { readBurstFrames } from '../../../decoders/frames/read-burst.ts';
import type { DecodedFrame } from '../../../decoders/frames/types.ts';
import type { Mission } from '../../../decoders/mission/types.ts';
import { BurstReader } from '../../../decoders/teletype/burst-reader.ts';
import type { DemodulatedBurst } from '../../../decoders/teletype/demodulate.ts';
import { RATE_HZ } from './signal.ts';

export interface Reading {
  /** Bursts found. */
  readonly bursts: number;
  readonly frames: readonly DecodedFrame[];
}

/** Samples read as a recording is, its mission loaded: both searches, demodulation, decision. */
export function readSamples(samples: Float32Array, mission: Mission, sampleRateHz = RATE_HZ): Reading {
  const read = readBursts(samples, mission, sampleRateHz).flatMap((signal) => readBurstFrames(signal, [mission]) ?? []);
  return { bursts: read.length, frames: read.flatMap(({ frames }) => frames.map(({ frame }) => frame)) };
}

/** The bursts of samples, searched for with a mission loaded. */
export function readBursts(samples: Float32Array, mission: Mission, sampleRateHz = RATE_HZ): DemodulatedBurst[] {
  const { baud } = mission.beacon;
  const reader = new BurstReader({
    sampleRateHz,
    ...(baud === undefined ? {} : { bauds: [baud] }),
    beacons: knownBeacons([mission], null).map((beacon) => ({ beacon })),
  });
  const bursts: DemodulatedBurst[] = [];
  const take: Parameters<BurstReader['end']>[0] = ({ signal }) => bursts.push(signal);
  reader.push(samples, take);
  reader.end(take);
  return bursts;
}

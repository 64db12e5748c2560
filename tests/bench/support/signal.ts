import { addNoiseAtEbN0 } from '../../../decoders/simulate/channel.ts';
import { Fading, type FadingOptions } from '../../../decoders/simulate/fading.ts';
import type { Random } from '../../../decoders/simulate/random.ts';
import { keyBurst, type PhaseLaw, type ToneOptions, type TonePaths } from '../../../decoders/simulate/transmitter.ts';

export const RATE_HZ = 8000;
const AMPLITUDE = 0.3;

export interface SignalOptions {
  readonly codes: readonly number[];
  readonly ebN0Db: number;
  readonly random: Random;
  readonly baud?: number;
  readonly shiftHz?: number;
  readonly phase?: PhaseLaw;
  /** Each tone fades on its own, or both as one. */
  readonly fading?: FadingOptions;
  readonly fadesFlat?: boolean;
  /** Elements of mark that the sender puts in before each character. */
  readonly gapElements?: readonly number[];
  /** Faults of the sender and the recorder. */
  readonly faults?: Pick<ToneOptions, 'driftHzPerSecond' | 'clockPpm' | 'imbalanceDb' | 'paths'>;
}

/** A burst of idle mark, codes and idle mark in white noise; tones, phase and timing drawn off every grid. */
export function noisyBurst(options: SignalOptions): {
  readonly samples: Float32Array;
  readonly markHz: number;
  readonly spaceHz: number;
  readonly burstFrom: number;
  readonly burstTo: number;
} {
  const {
    codes,
    ebN0Db,
    random,
    baud = 500 / 11,
    shiftHz = 170,
    phase = 'continuous',
    fading,
    fadesFlat = false,
    gapElements,
    faults = {},
  } = options;
  const markHz = 1275 + random.uniform(-50, 50);
  const spaceHz = markHz + shiftHz;
  const burst = keyBurst(codes, {
    sampleRateHz: RATE_HZ,
    baud,
    stopElements: 1.5,
    markHz,
    spaceHz,
    amplitude: AMPLITUDE,
    phase,
    random,
    startPhaseRadians: random.uniform(0, 2 * Math.PI),
    spacePhaseRadians: random.uniform(0, 2 * Math.PI),
    startOffsetSamples: random.uniform(),
    leadMarkElements: random.uniform(2, 12),
    tailMarkElements: 6,
    ...(gapElements && { gapElements }),
    ...faults,
    ...(fading && { paths: fadingPaths(fading, fadesFlat, random) }),
  });
  const burstFrom = Math.round(random.uniform(3, 5) * RATE_HZ);
  const samples = new Float32Array(burstFrom + burst.length + 4 * RATE_HZ);
  samples.set(burst, burstFrom);
  addNoiseAtEbN0(samples, { ebN0Db, baud, sampleRateHz: RATE_HZ, signalPower: AMPLITUDE ** 2 / 2, random });
  return { samples, markHz, spaceHz, burstFrom, burstTo: burstFrom + burst.length };
}

function fadingPaths(fading: FadingOptions, isFlat: boolean, random: Random): TonePaths {
  const mark = new Fading(fading, random);
  return { mark, space: isFlat ? mark : new Fading(fading, random), startSeconds: 0 };
}

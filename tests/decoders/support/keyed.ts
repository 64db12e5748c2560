import type { StopElements } from '../../../decoders/mission/types.ts';
import type { Acquisition } from '../../../decoders/signal/types.ts';
import { addNoiseAtEbN0 } from '../../../decoders/simulate/channel.ts';
import { Random } from '../../../decoders/simulate/random.ts';
import { keyBurst, type PhaseLaw } from '../../../decoders/simulate/transmitter.ts';

export interface Keyed {
  readonly codes: readonly number[];
  readonly baud: number;
  readonly shiftHz: number;
  readonly stopElements?: StopElements;
  readonly markIsHigher?: boolean;
  readonly driftHzPerSecond?: number;
  readonly phase?: PhaseLaw;
  readonly gapElements?: (random: Random) => number;
  /** Noise-free when left out. */
  readonly ebN0Db?: number;
  readonly seed: number;
}

const RATE_HZ = 8000;
const AMPLITUDE = 0.3;

/** A burst between two silences (or noises), everything drawn off the grid, with what a search would say of it. */
export function keyed(options: Keyed) {
  const { codes, baud, shiftHz, stopElements = 1.5, driftHzPerSecond = 0, ebN0Db, seed } = options;
  const random = new Random(seed);
  const lowHz = 1100 + random.uniform(0, 300);
  const markHz = options.markIsHigher ? lowHz + shiftHz : lowHz;
  const spaceHz = options.markIsHigher ? lowHz : lowHz + shiftHz;
  const { gapElements } = options;
  const burst = keyBurst(codes, {
    sampleRateHz: RATE_HZ,
    baud,
    stopElements,
    markHz,
    spaceHz,
    amplitude: AMPLITUDE,
    phase: options.phase ?? 'continuous',
    random,
    leadMarkElements: random.uniform(2, 12),
    tailMarkElements: 6,
    startOffsetSamples: random.uniform(),
    startPhaseRadians: random.uniform(0, 6),
    driftHzPerSecond,
    ...(gapElements ? { gapElements: () => gapElements(random) } : {}),
  });
  const lead = Math.round(random.uniform(1.5, 3) * RATE_HZ);
  const samples = new Float32Array(lead + burst.length + 2 * RATE_HZ);
  samples.set(burst, lead);
  if (ebN0Db !== undefined) {
    addNoiseAtEbN0(samples, { ebN0Db, baud, sampleRateHz: RATE_HZ, signalPower: AMPLITUDE ** 2 / 2, random });
  }
  const characterSeconds = (6 + stopElements) / baud;
  const acquisition: Acquisition = {
    startSeconds: lead / RATE_HZ + random.uniform(0, 0.3),
    endSeconds: (lead + burst.length) / RATE_HZ - random.uniform(0, 0.3),
    baud: baud * random.uniform(0.997, 1.003),
    stopElements,
    markHz: markHz + random.uniform(-0.1, 0.1) * baud,
    spaceHz: spaceHz + random.uniform(-0.1, 0.1) * baud,
    driftHzPerSecond: driftHzPerSecond + random.uniform(-1, 1),
    characterPhaseSeconds: 0,
    characterPeriodSeconds: characterSeconds * random.uniform(0.999, 1.001),
    score: 9,
  };
  return { samples, sampleRateHz: RATE_HZ, startSeconds: 0, acquisition, markHz, spaceHz };
}

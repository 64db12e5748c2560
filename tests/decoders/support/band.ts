import { renderFrame } from '../../../decoders/frames/render.ts';
import {
  Random,
  type SimulatedBand,
  type SimulatedBandOptions,
  simulateBand,
} from '../../../decoders/simulate/index.ts';
import { digitFrame, missionOf } from './missions.ts';

export const BAND_MISSION = missionOf({ a: digitFrame('crc-16/ibm-3740') });

export const BAND_KEYING = {
  alphabet: 'ita2',
  baud: 500 / 11,
  markHz: 1275,
  spaceHz: 1445,
  stopElements: 1.5,
} as const;

/** Texts of the mission's frame, each with other digits. */
export function bandTexts(count: number, seed = 1): string[] {
  const random = new Random(seed);
  return Array.from({ length: count }, () =>
    renderFrame(
      BAND_MISSION,
      'a',
      Object.fromEntries(Array.from({ length: 9 }, (_, i) => [`f${i}`, random.integer(10_000)])),
    ),
  );
}

/** A band around a beacon, and its bytes as a SigMF data file. */
export function bandOf(options: Omit<SimulatedBandOptions, 'keying'> & Partial<Pick<SimulatedBandOptions, 'keying'>>): {
  readonly band: SimulatedBand;
  readonly meta: string;
  readonly data: Uint8Array;
} {
  const band = simulateBand({ keying: BAND_KEYING, ...options });
  return { band, meta: band.sigmfMeta('pcm16'), data: Buffer.concat([...band.samples('pcm16')]) };
}

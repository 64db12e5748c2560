import { readBurstFrames } from '../../decoders/frames/read-burst.ts';
import { Random } from '../../decoders/simulate/random.ts';
import type { PhaseLaw } from '../../decoders/simulate/transmitter.ts';
import { encode } from '../../decoders/teletype/alphabets.ts';
import { BurstReader } from '../../decoders/teletype/burst-reader.ts';
import { digitMission, randomFrame } from './support/frames.ts';
import { noisyBurst, RATE_HZ } from './support/signal.ts';
import { printTable } from './support/table.ts';
import { proportion } from './support/wilson.ts';

const FRAMES = 30;
/** Around the level at which half of the frames are accepted, with room to either side. */
const CASES: readonly { readonly checksum: string | null; readonly phase: PhaseLaw; readonly levelsDb: number[] }[] = [
  { checksum: 'crc-16/ibm-3740', phase: 'continuous', levelsDb: [1, 2, 3, 4, 5] },
  { checksum: 'crc-16/ibm-3740', phase: 'switched', levelsDb: [5, 6, 6.5, 7, 7.5, 8.5] },
  { checksum: 'crc-8/smbus', phase: 'continuous', levelsDb: [2, 3, 4, 5] },
  { checksum: 'crc-8/smbus', phase: 'switched', levelsDb: [7, 8, 9, 10] },
  { checksum: null, phase: 'continuous', levelsDb: [3, 5, 7] },
  { checksum: null, phase: 'switched', levelsDb: [9, 10, 11] },
];

/**
 * Whole frames from noise: search, demodulation, decision and the reading through phase, nothing known but the layout. "Right": the
 * best reading is what was sent. "Accepted": confirmed with a checksum, probable without. "Plain": the share of frames in
 * which an ideal receiver with perfect timing gets all data elements right, one by one, 0.5 exp(-Eb/2N0) each.
 */
export async function run(): Promise<void> {
  for (const { checksum, phase, levelsDb } of CASES) {
    const mission = digitMission(checksum);
    const accepting = checksum === null ? 'probable' : 'confirmed';
    const rows = levelsDb.map((ebN0Db) => {
      const counts = { found: 0, right: 0, accepted: 0, wrong: 0, elements: 0 };
      for (let i = 0; i < FRAMES; i++) {
        const random = new Random(Math.round(1000 * ebN0Db) + i);
        const text = randomFrame(mission, random);
        const codes = encode(text, 'ita2', { startShift: 'unknown' });
        counts.elements = codes.length * 5;
        const reader = new BurstReader({ sampleRateHz: RATE_HZ });
        let found = false;
        let right = false;
        const { samples } = noisyBurst({ codes, ebN0Db, random, phase });
        const take: Parameters<BurstReader['end']>[0] = ({ signal }) => {
          found = true;
          for (const { frame } of readBurstFrames(signal, [mission]).frames) {
            right ||= frame.text === text;
            if (frame.trust !== accepting) continue;
            if (frame.text === text) counts.accepted++;
            else counts.wrong++;
          }
        };
        reader.push(samples, take);
        reader.end(take);
        counts.found += found ? 1 : 0;
        counts.right += right ? 1 : 0;
      }
      const error = 0.5 * Math.exp(-(10 ** (ebN0Db / 10)) / 2);
      return [
        `${ebN0Db}`,
        proportion(counts.found, FRAMES),
        proportion(counts.right, FRAMES),
        proportion(counts.accepted, FRAMES),
        `${counts.wrong}`,
        ((1 - error) ** counts.elements).toFixed(2),
      ];
    });
    printTable(
      `${FRAMES} frames a row, ${checksum ?? 'no checksum'}, phase ${phase} (95 % intervals)`,
      ['Eb/N0 dB', 'burst found', 'right', `accepted (${accepting})`, 'wrong', 'plain receiver'],
      rows,
    );
  }
}

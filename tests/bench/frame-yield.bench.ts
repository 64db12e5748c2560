import { matchFrames } from '../../decoders/frames/match.ts';
import { Random } from '../../decoders/simulate/random.ts';
import { encode } from '../../decoders/teletype/alphabets.ts';
import { BurstReader } from '../../decoders/teletype/burst-reader.ts';
import { digitMission, randomFrame } from './support/frames.ts';
import { noisyBurst, RATE_HZ } from './support/signal.ts';
import { printTable } from './support/table.ts';
import { proportion } from './support/wilson.ts';

const FRAMES = 50;
const LEVELS_DB = [6, 7, 7.5, 8, 8.5, 9, 10, 11, 12];
const CHECKSUMS = ['crc-16/ibm-3740', 'crc-8/smbus', null];

/**
 * Whole frames from noise: search, demodulation and frame decision with nothing known but the layout. "Right": the
 * best reading is what was sent. "Accepted": confirmed with a checksum, probable without. "Plain": the share of frames in
 * which an ideal receiver with perfect timing gets all data elements right, one by one, 0.5 exp(-Eb/2N0) each.
 */
export async function run(): Promise<void> {
  for (const checksum of CHECKSUMS) {
    const mission = digitMission(checksum);
    const accepting = checksum === null ? 'probable' : 'confirmed';
    const rows = LEVELS_DB.map((ebN0Db) => {
      const counts = { found: 0, right: 0, accepted: 0, wrong: 0, elements: 0 };
      for (let i = 0; i < FRAMES; i++) {
        const random = new Random(Math.round(1000 * ebN0Db) + i);
        const text = randomFrame(mission, random);
        const codes = encode(text, 'ita2', { startShift: 'unknown' });
        counts.elements = codes.length * 5;
        const reader = new BurstReader({ sampleRateHz: RATE_HZ });
        let found = false;
        let right = false;
        const { samples } = noisyBurst({ codes, ebN0Db, random });
        const take: Parameters<BurstReader['end']>[0] = ({ burst }) => {
          found = true;
          for (const { frame } of matchFrames(burst.soft, [mission])) {
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
      `${FRAMES} frames a row, ${checksum ?? 'no checksum'} (95 % intervals)`,
      ['Eb/N0 dB', 'burst found', 'right', `accepted (${accepting})`, 'wrong', 'plain receiver'],
      rows,
    );
  }
}

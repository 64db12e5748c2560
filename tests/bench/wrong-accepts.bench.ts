import { readBurstFrames } from '../../decoders/frames/read-burst.ts';
import type { Mission } from '../../decoders/mission/types.ts';
import { Random } from '../../decoders/simulate/random.ts';
import type { PhaseLaw } from '../../decoders/simulate/transmitter.ts';
import { encode } from '../../decoders/teletype/alphabets.ts';
import { BurstReader } from '../../decoders/teletype/burst-reader.ts';
import { digitMission, randomFrame } from './support/frames.ts';
import { noisyBurst, RATE_HZ } from './support/signal.ts';
import { printTable } from './support/table.ts';
import { wilson } from './support/wilson.ts';

/** `FIVEUNIT_BENCH_FRAMES` sets another number, for a long run. */
const FRAMES = Number(process.env.FIVEUNIT_BENCH_FRAMES ?? 60);
const CHECKSUM = 'crc-16/ibm-3740';

const SISTER = digitMission(CHECKSUM, 'Q0DUM');

interface Material {
  readonly name: string;
  readonly levelsDb: readonly [number, number];
  readonly phase: PhaseLaw;
  readonly draw: (mission: Mission, random: Random) => Drawn;
}

interface Drawn {
  readonly sent: string;
  /** What may be accepted of it; null: nothing. */
  readonly right: string | null;
  /** What its checksum was made for, where that is something else. */
  readonly checkedFor?: string;
}

const own = (mission: Mission, random: Random) => {
  const sent = randomFrame(mission, random);
  return { sent, right: sent };
};

const MATERIAL: readonly Material[] = [
  { name: 'own frames, phase-continuous', levelsDb: [0, 10], phase: 'continuous', draw: own },
  { name: 'own frames, two oscillators', levelsDb: [4, 12], phase: 'switched', draw: own },
  { name: 'own frames, phase jumps at random', levelsDb: [4, 12], phase: 'random', draw: own },
  {
    name: 'one digit changed after the checksum',
    levelsDb: [1, 12],
    phase: 'continuous',
    draw: (mission, random) => {
      const text = randomFrame(mission, random);
      const at = 8 + 5 * random.integer(9) + random.integer(4);
      const digit = `${(Number(text[at]) + 1 + random.integer(9)) % 10}`;
      return { sent: text.slice(0, at) + digit + text.slice(at + 1), right: null, checkedFor: text };
    },
  },
  {
    name: 'sister satellite, one letter apart',
    levelsDb: [1, 20],
    phase: 'continuous',
    draw: (_, random) => ({ sent: randomFrame(SISTER, random), right: null }),
  },
  {
    name: 'one letter of the call sign changed after the checksum',
    levelsDb: [1, 20],
    phase: 'continuous',
    draw: (mission, random) => {
      const text = randomFrame(mission, random);
      return { sent: text.replace('Q0DUN', 'Q0DUM'), right: null, checkedFor: text };
    },
  },
  {
    name: 'foreign text',
    levelsDb: [1, 12],
    phase: 'continuous',
    draw: (_, random) => {
      const letters = 'ABCDEFGHIJKLMNOPQRSTUVWXYZ   0123456789';
      return { sent: Array.from({ length: 60 }, () => letters[random.integer(letters.length)]).join(''), right: null };
    },
  },
];

/** What is confirmed, and whether it was sent: the whole way from audio, frames with a CRC-16, white noise. */
export async function run(): Promise<void> {
  const mission = digitMission(CHECKSUM);
  const rows = MATERIAL.map((material, kind) => {
    let confirmed = 0;
    let wrong = 0;
    let restored = 0;
    for (let i = 0; i < FRAMES; i++) {
      const random = new Random(1_000_000 * (kind + 1) + i);
      const { sent, right, checkedFor } = material.draw(mission, random);
      const { samples } = noisyBurst({
        codes: encode(sent, 'ita2', { startShift: 'unknown' }),
        ebN0Db: random.uniform(...material.levelsDb),
        random,
        phase: material.phase,
      });
      const reader = new BurstReader({ sampleRateHz: RATE_HZ });
      const take: Parameters<BurstReader['end']>[0] = ({ signal }) => {
        for (const { frame } of readBurstFrames(signal, [mission]).frames) {
          if (frame.trust !== 'confirmed') continue;
          confirmed++;
          if (frame.text === checkedFor) restored++;
          else if (frame.text !== right) wrong++;
        }
      };
      reader.push(samples, take);
      reader.end(take);
    }
    const [, most] = wilson(wrong, Math.max(1, confirmed));
    const levels = `${material.levelsDb[0]}..${material.levelsDb[1]}`;
    const bound = confirmed === 0 ? '-' : `< ${most.toExponential(1)}`;
    return [material.name, levels, `${FRAMES}`, `${confirmed}`, `${wrong}`, bound, `${restored}`];
  });
  const headings = ['material', 'Eb/N0 dB', 'sent', 'confirmed', 'wrong', 'share (95 %)', 'as the checksum calls for'];
  printTable(`Wrong among confirmed, ${CHECKSUM}`, headings, rows);
}

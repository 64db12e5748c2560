import { Random } from '../../decoders/simulate/random.ts';
import type { PhaseLaw } from '../../decoders/simulate/transmitter.ts';
import { encode } from '../../decoders/teletype/alphabets.ts';
import { chosenRows } from './support/chosen-rows.ts';
import { plainReceiver } from './support/plain-receiver.ts';
import { readSamples } from './support/reading.ts';
import { type BenchChecksum, CHECKSUMS, frameShape, SHAPE_NAMES, type ShapeName } from './support/shapes.ts';
import { noisyBurst } from './support/signal.ts';
import { printTable } from './support/table.ts';
import { runTrials } from './support/trials.ts';
import { proportion } from './support/wilson.ts';

/** Of each row. `FIVEUNIT_BENCH_FRAMES` sets another number, for a long run. */
const FRAMES = Number(process.env.FIVEUNIT_BENCH_FRAMES ?? 10);

/** About the level at which half of the frames are accepted, with room to either side. */
const LEVELS_DB: Readonly<Record<PhaseLaw, (checksum: BenchChecksum) => readonly number[]>> = {
  continuous: (checksum) =>
    checksum === null ? [3, 5, 7, 8.5] : checksum.startsWith('crc-16') ? [0, 1, 2, 3.5] : [2, 3.5, 5, 6],
  switched: (checksum) =>
    checksum === null ? [7, 9, 10, 11] : checksum.startsWith('crc-16') ? [5, 6, 7.5, 8.4] : [6, 7.5, 8.9, 9.7],
  random: (checksum) =>
    checksum === null ? [9, 10, 11, 12] : checksum.startsWith('crc-16') ? [6, 7.5, 8.4] : [7.5, 8.9, 9.7],
};

interface Row {
  readonly shape: ShapeName;
  readonly checksum: BenchChecksum;
  readonly phase: PhaseLaw;
  readonly ebN0Db: number;
}

const ROWS = chosenRows<Row>(
  (['continuous', 'switched', 'random'] as const).flatMap((phase) =>
    CHECKSUMS.flatMap((checksum) =>
      SHAPE_NAMES.flatMap((shape) => LEVELS_DB[phase](checksum).map((ebN0Db) => ({ shape, checksum, phase, ebN0Db }))),
    ),
  ),
  ({ shape, checksum, phase, ebN0Db }) => `${phase}, ${checksum ?? 'none'}, ${shape}, ${ebN0Db} dB`,
);

interface Outcome {
  readonly found: boolean;
  readonly right: boolean;
  readonly accepted: boolean;
  readonly wrong: number;
  /** Probability that a receiver with perfect timing gets all data elements right one by one, 0.5 exp(-Eb/2N0) each (Proakis). */
  readonly plain: number;
}

/**
 * Whole frames from noise, the mission loaded, nothing else known. "Right": the best reading is what was sent. "Accepted":
 * confirmed with a checksum, probable without. "Plain": what an ideal receiver that decides element by element gets of the
 * same frames.
 */
export async function run(): Promise<void> {
  const counts = ROWS.map(() => ({ found: 0, right: 0, accepted: 0, wrong: 0, plain: 0, frames: 0 }));
  await runTrials<readonly Outcome[]>({
    url: import.meta.url,
    count: FRAMES,
    trial: (seed) => ROWS.map((row) => read(row, 1000 * row.number + seed)),
    take: (outcomes) => {
      outcomes.forEach(({ found, right, accepted, wrong, plain }, i) => {
        const count = counts[i];
        count.frames++;
        if (found) count.found++;
        if (right) count.right++;
        if (accepted) count.accepted++;
        count.wrong += wrong;
        count.plain += plain;
      });
    },
  });
  printTable(
    'Frame yield, one station (95 % intervals)',
    ['phase', 'checksum', 'frames', 'Eb/N0 dB', 'sent', 'burst found', 'right', 'accepted', 'wrong', 'plain receiver'],
    ROWS.map(({ shape, checksum, phase, ebN0Db }, i) => {
      const { found, right, accepted, wrong, plain, frames } = counts[i];
      const shares = [found, right, accepted].map((count) => proportion(count, frames));
      const ideal = (plain / Math.max(1, frames)).toFixed(2);
      return [phase, checksum ?? 'none', shape, `${ebN0Db}`, `${frames}`, ...shares, `${wrong}`, ideal];
    }),
  );
}

function read({ shape, checksum, phase, ebN0Db }: Row, seed: number): Outcome {
  const random = new Random(seed);
  const { mission, draw } = frameShape(shape, checksum);
  const text = draw(random);
  const codes = encode(text, 'ita2', { startShift: 'unknown' });
  const { samples } = noisyBurst({ codes, ebN0Db, random, phase });
  const { bursts, frames } = readSamples(samples, mission);
  const accepting = checksum === null ? 'probable' : 'confirmed';
  const accepted = frames.filter(({ trust, complete }) => trust === accepting && complete);
  return {
    found: bursts > 0,
    right: frames.some((frame) => frame.text === text),
    accepted: accepted.some((frame) => frame.text === text),
    wrong: accepted.filter((frame) => frame.text !== text).length,
    plain: plainReceiver(ebN0Db, codes.length),
  };
}

import { combine, type FrameCopy } from '../../decoders/frames/combine.ts';
import { readBurstFrames } from '../../decoders/frames/read-burst.ts';
import type { DecodedFrame } from '../../decoders/frames/types.ts';
import type { Mission } from '../../decoders/mission/types.ts';
import { Random } from '../../decoders/simulate/random.ts';
import type { PhaseLaw } from '../../decoders/simulate/transmitter.ts';
import { encode } from '../../decoders/teletype/alphabets.ts';
import { chosenRows } from './support/chosen-rows.ts';
import { plainReceiver } from './support/plain-receiver.ts';
import { readBursts } from './support/reading.ts';
import { type BenchChecksum, frameShape, type ShapeName } from './support/shapes.ts';
import { noisyBurst } from './support/signal.ts';
import { printTable } from './support/table.ts';
import { runTrials } from './support/trials.ts';
import { proportion } from './support/wilson.ts';

/** Of each row. `FIVEUNIT_BENCH_FRAMES` sets another number, for a long run. */
const FRAMES = Number(process.env.FIVEUNIT_BENCH_FRAMES ?? 8);
const STATIONS = [1, 2, 4] as const;

interface Row {
  readonly shape: ShapeName;
  readonly phase: PhaseLaw;
  readonly checksum: BenchChecksum;
  /** Of each station. */
  readonly ebN0Db: number;
}

const CRC16 = 'crc-16/ibm-3740';
const CRC8 = 'crc-8/smbus';
const ROWS = chosenRows<Row>(
  [
    ...rows('fixed digits', 'continuous', CRC16, [-2, -0.5, 1, 2]),
    ...rows('fixed digits', 'continuous', CRC8, [0, 1, 2, 3.5]),
    ...rows('fixed digits', 'random', CRC16, [3, 4, 5, 6]),
    ...rows('fixed digits', 'random', CRC8, [4.3, 5.3, 6, 7.5]),
    ...rows('labels', 'continuous', CRC16, [-2, -0.5]),
    ...rows('hex words', 'continuous', CRC16, [-2, -0.5]),
    ...rows('fixed digits', 'switched', CRC16, [1, 2.5]),
    ...rows('fixed digits', 'continuous', 'xor-8', [1, 2.5]),
    ...rows('fixed digits', 'continuous', null, [2.5, 4]),
  ],
  ({ shape, phase, checksum, ebN0Db }) => `${phase}, ${checksum ?? 'none'}, ${shape}, ${ebN0Db} dB`,
);

function rows(shape: ShapeName, phase: PhaseLaw, checksum: BenchChecksum, levelsDb: readonly number[]): Row[] {
  return levelsDb.map((ebN0Db) => ({ shape, phase, checksum, ebN0Db }));
}

interface Outcome {
  readonly right: boolean;
  readonly accepted: boolean;
  readonly wrong: number;
}

/**
 * Frames heard by several stations, each with noise, pitch, phase and delay of its own: everything found by each station for
 * itself, then one frame made of all of them. "Accepted": confirmed with a checksum, probable without. "Plain": an ideal receiver that decides element by element, at one station.
 */
export async function run(): Promise<void> {
  const counts = ROWS.map(() => STATIONS.map(() => ({ right: 0, accepted: 0, wrong: 0 })));
  let plain: readonly number[] = ROWS.map(() => 0);
  const frames = await runTrials<{
    readonly outcomes: readonly (readonly Outcome[])[];
    readonly plain: readonly number[];
  }>({
    url: import.meta.url,
    count: FRAMES,
    trial: (seed) => {
      const heard = ROWS.map((row) => hear(row, 1000 * row.number + seed));
      return { outcomes: heard.map(({ outcomes }) => outcomes), plain: heard.map((each) => each.plain) };
    },
    take: (trial) => {
      plain = plain.map((sum, i) => sum + trial.plain[i]);
      trial.outcomes.forEach((row, i) => {
        row.forEach(({ right, accepted, wrong }, k) => {
          const count = counts[i][k];
          if (right) count.right++;
          if (accepted) count.accepted++;
          count.wrong += wrong;
        });
      });
    },
  });
  printTable(
    `Frames heard by several stations, ${frames} a row (95 % intervals)`,
    ['frames', 'phase', 'checksum', 'Eb/N0 of each, dB', 'stations', 'right', 'accepted', 'wrong', 'plain'],
    ROWS.flatMap(({ shape, phase, checksum, ebN0Db }, i) =>
      STATIONS.map((stations, k) => {
        const { right, accepted, wrong } = counts[i][k];
        return [
          shape,
          phase,
          checksum ?? 'none',
          `${ebN0Db}`,
          `${stations}`,
          proportion(right, frames),
          proportion(accepted, frames),
          `${wrong}`,
          (plain[i] / Math.max(1, frames)).toFixed(2),
        ];
      }),
    ),
  );
}

function hear({ shape, phase, checksum, ebN0Db }: Row, seed: number): { outcomes: Outcome[]; plain: number } {
  const random = new Random(seed);
  const { mission, draw } = frameShape(shape, checksum);
  const text = draw(random);
  const codes = encode(text, 'ita2', { startShift: 'unknown' });
  const accepting = checksum === null ? 'probable' : 'confirmed';
  const heard = Array.from({ length: Math.max(...STATIONS) }, (_, station) => {
    const { samples } = noisyBurst({ codes, ebN0Db, random, phase });
    return copiesOf(samples, mission, `Q${station}LARK`);
  });
  return {
    outcomes: STATIONS.map((count) => outcomeOf(framesOf(heard.slice(0, count).flat(), mission), text, accepting)),
    plain: plainReceiver(ebN0Db, codes.length),
  };
}

/** What one station has to give: each frame it read, or a burst in which it read none. */
function copiesOf(samples: Float32Array, mission: Mission, station: string): FrameCopy[] {
  return readBursts(samples, mission).flatMap((signal): FrameCopy[] => {
    const read = readBurstFrames(signal, [mission]);
    if (!read) return [];
    const { frames, soft } = read;
    const { ebN0Db } = signal;
    if (frames.length === 0) return [{ soft, fromSlot: 0, toSlot: soft.count, ebN0Db, station, alone: null }];
    return frames.map(({ frame, fromSlot, toSlot }) => {
      const alone = { mission: mission.id, frame };
      return { soft, fromSlot, toSlot, ebN0Db, station, alone };
    });
  });
}

function framesOf(copies: readonly FrameCopy[], mission: Mission): DecodedFrame[] {
  const combined = combine(copies, [mission]);
  if (combined) return [combined.frame];
  return copies.flatMap(({ alone }) => (alone ? [alone.frame] : []));
}

function outcomeOf(frames: readonly DecodedFrame[], text: string, accepting: DecodedFrame['trust']): Outcome {
  const accepted = frames.filter(({ trust, complete }) => trust === accepting && complete);
  return {
    right: frames.some((frame) => frame.text === text),
    accepted: accepted.some((frame) => frame.text === text),
    wrong: accepted.filter((frame) => frame.text !== text).length,
  };
}

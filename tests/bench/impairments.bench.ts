import type { Mission } from '../../decoders/mission/types.ts';
import { planBursts } from '../../decoders/simulate/burst-plan.ts';
import type { Gain } from '../../decoders/simulate/gain.ts';
import { chooseLevels } from '../../decoders/simulate/levels.ts';
import { Random } from '../../decoders/simulate/random.ts';
import { reception } from '../../decoders/simulate/reception.ts';
import type { PhaseLaw } from '../../decoders/simulate/transmitter.ts';
import { encode } from '../../decoders/teletype/alphabets.ts';
import { chosenRows } from './support/chosen-rows.ts';
import { crossing } from './support/crossing.ts';
import { installedCodecs, type LossyCodec, throughCodec } from './support/lossy-codecs.ts';
import { readSamples } from './support/reading.ts';
import { type BenchChecksum, CHANNEL, frameShape } from './support/shapes.ts';
import { noisyBurst, RATE_HZ, type SignalOptions } from './support/signal.ts';
import { printTable } from './support/table.ts';
import { runTrials } from './support/trials.ts';
import { proportion } from './support/wilson.ts';

/** Of each impairment, level and sender. `FIVEUNIT_BENCH_FRAMES` sets another number, for a long run. */
const FRAMES = Number(process.env.FIVEUNIT_BENCH_FRAMES ?? 8);

type Fault = Partial<Pick<SignalOptions, 'baud' | 'shiftHz' | 'fading' | 'fadesFlat' | 'faults'>>;

interface Impairment {
  readonly name: string;
  readonly make: (random: Random) => Fault;
  readonly codec?: LossyCodec;
}

const CLEAN: Impairment = { name: 'none', make: () => ({}) };

const FAULTS: readonly Impairment[] = [
  CLEAN,
  { name: 'drift 5 Hz/s', make: () => ({ faults: { driftHzPerSecond: 5 } }) },
  { name: 'drift 20 Hz/s', make: () => ({ faults: { driftHzPerSecond: -20 } }) },
  { name: 'drift 50 Hz/s', make: () => ({ faults: { driftHzPerSecond: 50 } }) },
  { name: 'sample clock 100 ppm', make: () => ({ faults: { clockPpm: -100 } }) },
  { name: 'sample clock 200 ppm', make: () => ({ faults: { clockPpm: 200 } }) },
  { name: 'speed 1 % off', make: () => ({ baud: 1.01 * CHANNEL.baud }) },
  { name: 'shift 0.5 Hz off', make: () => ({ shiftHz: 170.5 }) },
  { name: 'shift 1 Hz off', make: () => ({ shiftHz: 171 }) },
  { name: 'shift 3 Hz off', make: () => ({ shiftHz: 167 }) },
  { name: 'imbalance 3 dB', make: () => ({ faults: { imbalanceDb: 3 } }) },
  { name: 'imbalance 6 dB', make: () => ({ faults: { imbalanceDb: -6 } }) },
  { name: 'phase noise .02 rad^2 an element', make: (random) => ({ faults: { paths: phaseNoise(0.02, random) } }) },
  ...installedCodecs().map((codec) => ({ name: codec.name, make: () => ({}), codec })),
];

/** Paths by the Rician K factor; none: Rayleigh. Each tone by itself, or both as one. */
const FADING: readonly Impairment[] = [10, 6, undefined].flatMap((ricianKDb) =>
  [0.2, 1].flatMap((spreadHz) =>
    [false, true].map((fadesFlat) => ({
      name: `${ricianKDb === undefined ? 'Rayleigh' : `Rician K ${ricianKDb} dB`}, ${spreadHz} Hz ${fadesFlat ? 'flat' : 'a tone'}`,
      make: () => ({ fading: { spreadHz, ...(ricianKDb !== undefined && { ricianKDb }) }, fadesFlat }),
    })),
  ),
);

interface Sender {
  readonly name: string;
  readonly phase: PhaseLaw;
  readonly checksum: BenchChecksum;
  readonly counts: 'right' | 'accepted';
  readonly levelsDb: readonly number[];
  /** Where the path fades. */
  readonly fadedLevelsDb: readonly number[];
}

const SENDERS: readonly Sender[] = [
  {
    name: 'continuous, CRC-16, accepted',
    phase: 'continuous',
    checksum: 'crc-16/ibm-3740',
    counts: 'accepted',
    levelsDb: [0.5, 1.5, 2.5, 4, 6, 9],
    fadedLevelsDb: [1.5, 4, 6, 9, 13, 18],
  },
  {
    name: 'jumping phase, CRC-8, right',
    phase: 'random',
    checksum: 'crc-8/smbus',
    counts: 'right',
    levelsDb: [4.5, 5.5, 6.5, 7.5, 9, 12],
    fadedLevelsDb: [6.5, 9, 11, 14, 17, 20],
  },
];

interface Row extends Impairment {
  readonly sender: Sender;
  readonly ebN0Db: number;
}

const ROWS = chosenRows<Row>(
  SENDERS.flatMap((sender) => [
    ...FAULTS.flatMap((fault) => sender.levelsDb.map((ebN0Db) => ({ ...fault, sender, ebN0Db }))),
    ...FADING.flatMap((fading) => sender.fadedLevelsDb.map((ebN0Db) => ({ ...fading, sender, ebN0Db }))),
  ]),
  ({ sender, name, ebN0Db }) => `${sender.name}, ${name}, ${ebN0Db} dB`,
);

interface FmRow {
  readonly ifBandwidthHz: number;
  readonly cn0DbHz: number;
}

const PEAK_DEVIATION_HZ = 3000;
const FM_ROWS = chosenRows<FmRow>(
  [
    ...[35.5, 36.5, 37.5, 38.5].map((cn0DbHz) => ({ ifBandwidthHz: 15_000, cn0DbHz })),
    ...[33, 34, 35, 36].map((cn0DbHz) => ({ ifBandwidthHz: 9_000, cn0DbHz })),
  ],
  ({ ifBandwidthHz, cn0DbHz }) => `FM, ${ifBandwidthHz} Hz, ${cn0DbHz} dB-Hz`,
);

interface Outcome {
  readonly hit: boolean;
  readonly wrong: number;
}

/** What each fault of sender, path and recorder costs: levels at which half and nine tenths of the frames are read, mission loaded. */
export async function run(): Promise<void> {
  const hits = ROWS.map(() => 0);
  let wrong = 0;
  const fmHits = FM_ROWS.map(() => 0);
  const frames = await runTrials<{ readonly rows: readonly Outcome[]; readonly fm: readonly Outcome[] }>({
    url: import.meta.url,
    count: FRAMES,
    // Faults meet the same frames, tones and noise, so that their costs can be told apart.
    trial: async (seed) => ({
      rows: await Promise.all(ROWS.map((row) => read(row, 100 * Math.round(10 * row.ebN0Db) + seed))),
      fm: FM_ROWS.map((row) => readFm(row, 77_000 + seed)),
    }),
    take: ({ rows, fm }) => {
      rows.forEach(({ hit }, i) => {
        if (hit) hits[i]++;
      });
      fm.forEach(({ hit }, i) => {
        if (hit) fmHits[i]++;
      });
      for (const outcome of [...rows, ...fm]) wrong += outcome.wrong;
    },
  });
  for (const sender of SENDERS) {
    const { name, levelsDb, fadedLevelsDb } = sender;
    const rowOf = ({ name: fault }: Impairment, level: number) =>
      ROWS.findIndex((row) => row.sender === sender && row.name === fault && row.ebN0Db === level);
    const hitsOf = (impairment: Impairment, levels: readonly number[]) =>
      levels.map((level) => hits[rowOf(impairment, level)] ?? 0);
    const crossings = (counts: readonly number[], levels: readonly number[]) => {
      const shares = counts.map((count) => count / Math.max(1, frames));
      return [0.5, 0.9].map((share) => crossing(levels, shares, share));
    };
    const cleanLevels = levelsDb.filter((level) => rowOf(CLEAN, level) >= 0);
    const clean = crossings(hitsOf(CLEAN, cleanLevels), cleanLevels);
    for (const [title, all, allLevels] of [
      [name, FAULTS, levelsDb],
      [`${name}, over paths that fade`, FADING, fadedLevelsDb],
    ] as const) {
      const levels = allLevels.filter((level) => all.some((impairment) => rowOf(impairment, level) >= 0));
      const impairments = all.filter((impairment) => levels.some((level) => rowOf(impairment, level) >= 0));
      printTable(
        `${title}, ${frames} frames a level (95 % intervals)`,
        ['impairment', ...levels.map((level) => `${level} dB`), '50 %', '90 %', 'cost, dB'],
        impairments.map((impairment) => {
          const counts = hitsOf(impairment, levels);
          const reached = crossings(counts, levels);
          const cost = reached.map((level, i) =>
            level === null || clean[i] === null ? '-' : (level - clean[i]).toFixed(1),
          );
          return [
            impairment.name,
            ...counts.map((count) => proportion(count, frames)),
            ...reached.map((level) => level?.toFixed(1) ?? '-'),
            cost.join(' / '),
          ];
        }),
      );
    }
  }
  printTable(
    `Audio of an FM discriminator, ${PEAK_DEVIATION_HZ} Hz deviation, jumping phase, CRC-8, right, ${frames} frames a row`,
    ['IF, Hz', 'C/N0, dB-Hz', 'right'],
    FM_ROWS.map(({ ifBandwidthHz, cn0DbHz }, i) => [`${ifBandwidthHz}`, `${cn0DbHz}`, proportion(fmHits[i], frames)]),
  );
  console.log(`\nwrong among accepted: ${wrong}`);
}

async function read({ sender, make, codec, ebN0Db }: Row, seed: number): Promise<Outcome> {
  const random = new Random(seed);
  const { mission, draw } = frameShape('fixed digits', sender.checksum);
  const text = draw(random);
  const codes = encode(text, 'ita2', { startShift: 'unknown' });
  const { samples } = noisyBurst({ codes, ebN0Db, random, phase: sender.phase, ...make(random.branch('fault')) });
  const heard = codec ? await throughCodec(samples, codec) : { samples, sampleRateHz: RATE_HZ };
  return outcomeOf(heard, mission, text, sender.counts);
}

/** A burst through an FM link, its noise and clicks included. */
function readFm({ ifBandwidthHz, cn0DbHz }: FmRow, seed: number): Outcome {
  const random = new Random(seed);
  const { mission, draw } = frameShape('fixed digits', 'crc-8/smbus');
  const text = draw(random);
  const keying = { alphabet: 'ita2', phase: 'random', ...CHANNEL } as const;
  const faults = { fmLink: { cn0DbHz, ifBandwidthHz, peakDeviationHz: PEAK_DEVIATION_HZ } };
  const planned = planBursts({
    texts: [text],
    keying,
    faults,
    intervalSeconds: CHANNEL.intervalSeconds,
    marginSeconds: 4,
    sampleRateHz: RATE_HZ,
    random,
  });
  const samples = new Float32Array(Math.ceil((planned[0].endSeconds + 4) * RATE_HZ));
  const levels = chooseLevels(keying.baud, faults, RATE_HZ);
  reception({ bursts: planned, faults, levels, sampleRateHz: RATE_HZ, random }).fill(samples);
  return outcomeOf({ samples, sampleRateHz: RATE_HZ }, mission, text, 'right');
}

function outcomeOf(
  { samples, sampleRateHz }: { readonly samples: Float32Array; readonly sampleRateHz: number },
  mission: Mission,
  text: string,
  counts: Sender['counts'],
): Outcome {
  const { frames } = readSamples(samples, mission, sampleRateHz);
  const accepted = frames.filter(({ trust }) => trust === 'confirmed');
  const counted = counts === 'accepted' ? accepted : frames;
  return {
    hit: counted.some((frame) => frame.text === text),
    wrong: accepted.filter((frame) => frame.text !== text).length,
  };
}

/** One oscillator whose phase walks at random, by so much variance an element. */
function phaseNoise(variance: number, random: Random) {
  const walk = new PhaseWalk(variance * CHANNEL.baud, random);
  return { mark: walk, space: walk, startSeconds: 0 };
}

class PhaseWalk implements Gain {
  re = 1;
  im = 0;
  private readonly variancePerSecond: number;
  private readonly random: Random;
  private phase = 0;
  private seconds = 0;

  constructor(variancePerSecond: number, random: Random) {
    this.variancePerSecond = variancePerSecond;
    this.random = random;
  }

  moveTo(seconds: number): void {
    this.phase += Math.sqrt(Math.max(0, seconds - this.seconds) * this.variancePerSecond) * this.random.gaussian();
    this.seconds = seconds;
    this.re = Math.cos(this.phase);
    this.im = Math.sin(this.phase);
  }
}

import { PROBABLE_POSTERIOR } from '../../decoders/frames/accept.ts';
import { readTypedText } from '../../decoders/frames/typed.ts';
import type { FadingOptions } from '../../decoders/simulate/fading.ts';
import { Random } from '../../decoders/simulate/random.ts';
import type { PhaseLaw } from '../../decoders/simulate/transmitter.ts';
import { encode } from '../../decoders/teletype/alphabets.ts';
import { fitConfidenceScale, type Statement, scaled } from './support/confidence-scale.ts';
import { readSamples } from './support/reading.ts';
import { type BenchChecksum, frameShape, type ShapeName } from './support/shapes.ts';
import { noisyBurst } from './support/signal.ts';
import { printTable } from './support/table.ts';
import { runTrials } from './support/trials.ts';
import { wilson } from './support/wilson.ts';

/** Of each channel. `FIVEUNIT_BENCH_FRAMES` sets another number, for a long run. */
const FRAMES = Number(process.env.FIVEUNIT_BENCH_FRAMES ?? 30);

interface Channel {
  readonly name: string;
  readonly phase: PhaseLaw;
  readonly levelsDb: readonly [number, number];
  readonly fading?: FadingOptions;
  readonly fadesFlat?: boolean;
  readonly checksum: BenchChecksum;
}

const WEAK = [5, 11] as const;
const FADED = [8, 18] as const;
const RANDOM = { phase: 'random', checksum: null } as const;

const CHANNELS: readonly Channel[] = [
  { name: 'white noise', ...RANDOM, levelsDb: WEAK },
  { name: 'white noise', phase: 'switched', checksum: null, levelsDb: WEAK },
  { name: 'white noise', phase: 'continuous', checksum: null, levelsDb: [1, 7] },
  { name: 'white noise', phase: 'random', checksum: 'crc-8/smbus', levelsDb: WEAK },
  { name: 'Rayleigh 0.2 Hz a tone', ...RANDOM, levelsDb: FADED, fading: { spreadHz: 0.2 } },
  { name: 'Rayleigh 1 Hz a tone', ...RANDOM, levelsDb: FADED, fading: { spreadHz: 1 } },
  { name: 'Rician K 6 dB 0.2 Hz a tone', ...RANDOM, levelsDb: FADED, fading: { spreadHz: 0.2, ricianKDb: 6 } },
  { name: 'Rician K 6 dB 1 Hz a tone', ...RANDOM, levelsDb: FADED, fading: { spreadHz: 1, ricianKDb: 6 } },
  { name: 'Rayleigh 0.2 Hz flat', ...RANDOM, levelsDb: FADED, fading: { spreadHz: 0.2 }, fadesFlat: true },
  { name: 'Rayleigh 1 Hz flat', ...RANDOM, levelsDb: FADED, fading: { spreadHz: 1 }, fadesFlat: true },
  {
    name: 'Rician K 6 dB 1 Hz a tone',
    phase: 'continuous',
    checksum: null,
    levelsDb: [4, 14],
    fading: { spreadHz: 1, ricianKDb: 6 },
  },
];
const SHAPES: readonly ShapeName[] = ['fixed digits', 'labels', 'hex words'];

/** Upper ends of the bins of stated confidence. */
const BINS = [0.5, 0.7, 0.8, 0.9, 0.95, 0.99, 0.999, 1];

interface Field extends Statement {
  /** Whether a reading of it counts: in a trusted frame, or sure enough by itself. */
  readonly counts: boolean;
}

interface Bin {
  count: number;
  stated: number;
  right: number;
}

/**
 * Whether fields stated to be right with a probability are right as often, and what their log-odds would have to be multiplied by
 * to be so; and how many of those that count as readings are wrong. Frames of all shapes, levels drawn evenly; a field counts wherever the frame was read at all, whatever its trust.
 */
export async function run(): Promise<void> {
  const heard = CHANNELS.map((): (readonly Field[])[] => []);
  await runTrials<readonly (readonly Field[])[]>({
    url: import.meta.url,
    count: FRAMES,
    trial: (seed) => CHANNELS.map((channel, i) => fieldsOf(channel, 100_000 * i + seed, SHAPES[seed % SHAPES.length])),
    take: (channels) => {
      channels.forEach((fields, i) => {
        heard[i].push(fields);
      });
    },
  });
  CHANNELS.forEach(({ name, phase, checksum, levelsDb: [low, high] }, i) => {
    const bins = binned(heard[i].flat());
    printTable(
      `${name}, phase ${phase}, ${checksum ?? 'no checksum'}, ${low} to ${high} dB: calibration error ${percent(calibrationError(bins))}`,
      ['stated up to', 'fields', 'stated, mean', 'right', '95 %'],
      bins.map(({ count, stated, right }, b) => {
        const [least, most] = wilson(right, count);
        const mean = (sum: number) => (count === 0 ? '-' : (sum / count).toFixed(4));
        return [`${BINS[b]}`, `${count}`, mean(stated), mean(right), `${least.toFixed(3)}-${most.toFixed(3)}`];
      }),
    );
  });
  const faded = heard.filter((_, i) => CHANNELS[i].fading).flat();
  const fadedScale = fitConfidenceScale(faded)?.scale ?? 1;
  const scaleRow = (name: string, phase: string, frames: readonly (readonly Field[])[]) => {
    const fields = frames.flat();
    const fit = fitConfidenceScale(frames);
    const scale = fit === null ? '-' : `${fit.scale.toFixed(3)} +- ${(1.96 * fit.standardError).toFixed(3)}`;
    const errors = [fields, scaled(fields, fadedScale)].map((each) => percent(calibrationError(binned(each))));
    const counting = fields.filter(({ counts }) => counts);
    const wrong = counting.filter(({ right }) => !right).length;
    return [name, phase, `${frames.length}`, `${fields.length}`, scale, ...errors, `${wrong} of ${counting.length}`];
  };
  printTable(
    'What log-odds would have to be multiplied by (95 %)',
    [
      'channel',
      'phase',
      'frames sent',
      'fields',
      'scale',
      'calibration error',
      "with the fading's scale",
      'wrong that count',
    ],
    [
      ...CHANNELS.map(({ name, phase }, i) => scaleRow(name, phase, heard[i])),
      scaleRow('white noise, all', '', heard.filter((_, i) => !CHANNELS[i].fading).flat()),
      scaleRow('fading, all', '', faded),
    ],
  );
}

function binned(fields: readonly Statement[]): readonly Bin[] {
  const bins = BINS.map((): Bin => ({ count: 0, stated: 0, right: 0 }));
  for (const { stated, right } of fields) {
    const bin = bins[BINS.findIndex((upper) => stated <= upper)];
    bin.count++;
    bin.stated += stated;
    if (right) bin.right++;
  }
  return bins;
}

/** Mean distance of what is stated from what is right, bins weighted by their fields (Guo et al., ICML 2017, equation 3). */
function calibrationError(bins: readonly Bin[]): number {
  const fields = bins.reduce((sum, { count }) => sum + count, 0);
  return bins.reduce((sum, { stated, right }) => sum + Math.abs(stated - right), 0) / Math.max(1, fields);
}

function percent(share: number): string {
  return `${(100 * share).toFixed(1)} %`;
}

function fieldsOf(
  { phase, levelsDb, fading, fadesFlat = false, checksum }: Channel,
  seed: number,
  name: ShapeName,
): Field[] {
  const random = new Random(seed);
  const { mission, draw } = frameShape(name, checksum);
  const text = draw(random);
  const codes = encode(text, 'ita2', { startShift: 'unknown' });
  const ebN0Db = random.uniform(...levelsDb);
  const { samples } = noisyBurst({ codes, ebN0Db, random, phase, ...(fading && { fading, fadesFlat }) });
  const [sent] = readTypedText(mission, text).frames;
  return readSamples(samples, mission).frames.flatMap(({ fields, trust }) =>
    Object.entries(fields).map(([id, { text: heard, confidence }]) => ({
      stated: confidence,
      right: heard === sent.fields[id]?.text,
      counts: trust !== 'doubtful' || confidence >= PROBABLE_POSTERIOR,
    })),
  );
}

import { createAcquirer } from '../../decoders/signal/acquirer.ts';
import type { Acquisition } from '../../decoders/signal/types.ts';
import { addNoiseAtEbN0 } from '../../decoders/simulate/channel.ts';
import {
  arpeggios,
  carriers,
  dtmf,
  LANGUAGES,
  morse,
  multiToneFsk,
  music,
  selectiveCall,
  speech,
  steadyTone,
  synchronousFsk,
  whiteNoise,
} from '../../decoders/simulate/material/index.ts';
import { Random } from '../../decoders/simulate/random.ts';
import { mix } from '../../decoders/simulate/source.ts';
import { keyBurst, type PhaseLaw } from '../../decoders/simulate/transmitter.ts';
import { encode } from '../../decoders/teletype/alphabets.ts';
import { BurstReader } from '../../decoders/teletype/burst-reader.ts';
import type { Material } from './support/material.ts';
import { mostMean } from './support/poisson.ts';
import { canReadAloud, readAloud } from './support/read-aloud.ts';
import { RATE_HZ } from './support/signal.ts';
import { printTable } from './support/table.ts';
import { runTrials } from './support/trials.ts';
import { proportion } from './support/wilson.ts';

/** Everything so many times longer: 1 is a glance of two minutes. */
const TIMES = Number(process.env.FIVEUNIT_BENCH_TIMES ?? 1);
const BURSTS = 60 * TIMES;
const STRETCH_SECONDS = 180;
const STRETCHES = TIMES;

const LEVELS_DB = [3, 4, 5, 8, 15];
const DRIFTS_HZ_PER_SECOND = [0, 50];
const BAUDS = [500 / 11, 50, 75, 100, 110, 150, 200, 300];
/** Of a sender's clock. */
const MOST_CLOCK_ERROR = 0.005;
const STOPS = [1, 1.42, 1.5, 2];
const PHASES: readonly PhaseLaw[] = ['continuous', 'switched', 'random'];

interface Row {
  readonly ebN0Db: number;
  readonly mostDrift: number;
}

const ROWS: readonly Row[] = DRIFTS_HZ_PER_SECOND.flatMap((mostDrift) =>
  LEVELS_DB.map((ebN0Db) => ({ ebN0Db, mostDrift })),
);

/** What recordings of a satellite pass may hold. */
const USUAL: readonly Material[] = [
  ...LANGUAGES.map((language) => ({
    name: `speech, ${language.name}`,
    make: (options: Parameters<Material['make']>[0]) => speech({ ...options, language }),
  })),
  ...(canReadAloud() ? [{ name: 'speech, read aloud in 12 languages', make: readAloud }] : []),
  {
    name: 'speech over CTCSS 88.5 Hz',
    make: (options) => mix(speech(options), steadyTone(88.5, { ...options, gain: 0.2 })),
  },
  { name: 'DTMF', make: dtmf },
  { name: 'music', make: music },
  { name: 'carriers', make: carriers },
  {
    name: 'carriers drifting up to 50 Hz/s',
    make: (options) => carriers({ ...options, mostDriftHzPerSecond: 50 }),
  },
  { name: 'noise', make: (options) => whiteNoise({ ...options, gain: 0.3 }) },
];

/** What is keyed, but not start-stop. */
const KEYED: readonly Material[] = [
  { name: 'selective calls', make: selectiveCall },
  { name: 'Morse', make: morse },
  { name: 'arpeggios', make: arpeggios },
  { name: 'synchronous FSK', make: synchronousFsk },
  { name: 'multi-tone FSK', make: multiToneFsk },
];

const MATERIALS = [...USUAL, ...KEYED];

type Trial =
  | { readonly kind: 'burst'; readonly row: number; readonly index: number }
  | { readonly kind: 'stretch'; readonly material: number; readonly index: number };

type Outcome =
  | {
      readonly kind: 'burst';
      readonly row: number;
      readonly found: boolean;
      readonly right: boolean;
      readonly besides: number;
    }
  | { readonly kind: 'stretch'; readonly material: number; readonly bursts: number };

/**
 * Detection with everything drawn at random and off every grid (speed within 0.5 % of a usual one, shift from 85 Hz or
 * one speed to 850 Hz, stop, polarity, tones, phase law, start; 62 characters), other bursts and other noise in each row;
 * and false bursts from what else stands on recordings, counted where a person would see them: behind the demodulator.
 */
export async function run(): Promise<void> {
  if (!(TIMES >= 1)) throw new Error(`FIVEUNIT_BENCH_TIMES must be 1 or more, not ${TIMES}`);
  const trials = allTrials();
  const rows = ROWS.map(() => ({ done: 0, found: 0, right: 0, besides: 0 }));
  const counts = MATERIALS.map(() => ({ done: 0, bursts: 0 }));
  await runTrials<Outcome>({
    url: import.meta.url,
    count: trials.length,
    trial: (seed) => attempt(trials[seed]),
    take: (outcome) => {
      if (outcome.kind === 'stretch') {
        counts[outcome.material].done++;
        counts[outcome.material].bursts += outcome.bursts;
        return;
      }
      const row = rows[outcome.row];
      row.done++;
      if (outcome.found) row.found++;
      if (outcome.right) row.right++;
      row.besides += outcome.besides;
    },
  });
  printTable(
    'Detection (95 % intervals)',
    ['Eb/N0 dB', 'drift up to Hz/s', 'bursts', 'found', 'all right', 'besides'],
    ROWS.map(({ ebN0Db, mostDrift }, i) => {
      const { done, found, right, besides } = rows[i];
      return [`${ebN0Db}`, `${mostDrift}`, `${done}`, proportion(found, done), proportion(right, done), `${besides}`];
    }),
  );
  const usual = counts.slice(0, USUAL.length);
  printTable(
    'False bursts',
    ['material', 'hours', 'bursts', 'an hour', '95 % sure: fewer than'],
    [
      ...MATERIALS.map(({ name }, i) => falseRow(name, [counts[i]])),
      falseRow('speech, DTMF, music, carriers, noise together', usual),
      falseRow('all together', counts),
    ],
  );
}

function falseRow(name: string, counts: readonly { readonly done: number; readonly bursts: number }[]): string[] {
  const sum = (of: (each: (typeof counts)[number]) => number) => counts.reduce((total, each) => total + of(each), 0);
  const hours = (sum(({ done }) => done) * STRETCH_SECONDS) / 3600;
  const bursts = sum((each) => each.bursts);
  const anHour = (count: number) => (hours === 0 ? '' : (count / hours).toFixed(2));
  return [name, hours.toFixed(2), `${bursts}`, anHour(bursts), anHour(mostMean(bursts))];
}

/** Every row and material is done to the same share, however early it is interrupted. */
function allTrials(): Trial[] {
  const bursts = ROWS.flatMap((_, row) =>
    Array.from({ length: BURSTS }, (_, index) => ({ kind: 'burst', row, index }) as const),
  );
  const stretches = MATERIALS.flatMap((_, material) =>
    Array.from({ length: STRETCHES }, (_, index) => ({ kind: 'stretch', material, index }) as const),
  );
  const share = ({ kind, index }: Trial) => (index + 0.5) / (kind === 'burst' ? BURSTS : STRETCHES);
  return [...bursts, ...stretches].sort((a, b) => share(a) - share(b));
}

function attempt(trial: Trial): Outcome {
  if (trial.kind === 'burst') return { kind: 'burst', row: trial.row, ...detect(ROWS[trial.row], trial.index) };
  const { material, index } = trial;
  return { kind: 'stretch', material, bursts: countBursts(MATERIALS[material], 1000 * material + index) };
}

function detect(
  { ebN0Db, mostDrift }: Row,
  index: number,
): Pick<Extract<Outcome, { kind: 'burst' }>, 'found' | 'right' | 'besides'> {
  const random = new Random(1e5 * (100 * mostDrift + ebN0Db) + index);
  const baud = random.pick(BAUDS) * (1 + random.uniform(-MOST_CLOCK_ERROR, MOST_CLOCK_ERROR));
  const stopElements = random.pick(STOPS);
  const leastShift = Math.max(85, baud);
  const shiftHz = leastShift * (850 / leastShift) ** random.uniform();
  const lowHz = random.uniform(400, 2900 - shiftHz);
  const markIsHigher = random.uniform() < 0.5;
  const text = Array.from({ length: 60 }, () => random.pick([...'ABCDEFGHIJKLMNOPQRSTUVWXYZ 0123456789'])).join('');
  const codes = encode(text, 'ita2', { startShift: 'unknown' }).slice(0, 62);
  const burst = keyBurst(codes, {
    sampleRateHz: RATE_HZ,
    baud,
    stopElements,
    markHz: markIsHigher ? lowHz + shiftHz : lowHz,
    spaceHz: markIsHigher ? lowHz : lowHz + shiftHz,
    amplitude: 0.3,
    phase: random.pick(PHASES),
    random,
    startPhaseRadians: random.uniform(0, 2 * Math.PI),
    spacePhaseRadians: random.uniform(0, 2 * Math.PI),
    startOffsetSamples: random.uniform(),
    driftHzPerSecond: random.uniform(-mostDrift, mostDrift),
    leadMarkElements: random.uniform(0, 10),
    tailMarkElements: 6,
  });
  const from = 4 * RATE_HZ;
  const samples = new Float32Array(burst.length + 8 * RATE_HZ);
  samples.set(burst, from);
  addNoiseAtEbN0(samples, { ebN0Db, baud, sampleRateHz: RATE_HZ, signalPower: 0.045, random });
  const acquirer = createAcquirer({ sampleRateHz: RATE_HZ });
  const all: Acquisition[] = [];
  acquirer.push(samples, (each) => all.push(each));
  acquirer.end((each) => all.push(each));
  const own = all.filter((each) => each.endSeconds > 4 && each.startSeconds < 4 + burst.length / RATE_HZ);
  const [first] = own;
  return {
    found: own.length > 0,
    right:
      first !== undefined && Math.abs(first.baud / baud - 1) < 0.015 && first.markHz > first.spaceHz === markIsHigher,
    besides: all.length - Math.min(1, own.length),
  };
}

function countBursts({ make }: Material, seed: number): number {
  const source = make({ sampleRateHz: RATE_HZ, seed });
  const reader = new BurstReader({ sampleRateHz: RATE_HZ });
  const block = new Float32Array(RATE_HZ);
  let bursts = 0;
  for (let second = 0; second < STRETCH_SECONDS; second++) {
    source.fill(block);
    reader.push(block, () => bursts++);
  }
  reader.end(() => bursts++);
  return bursts;
}

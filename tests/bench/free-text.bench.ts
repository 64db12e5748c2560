import { Random } from '../../decoders/simulate/random.ts';
import { encode } from '../../decoders/teletype/alphabets.ts';
import { BurstReader } from '../../decoders/teletype/burst-reader.ts';
import { ELEMENTS_PER_SLOT } from '../../decoders/teletype/soft-characters.ts';
import type { SoftCharacters } from '../../decoders/teletype/types.ts';
import { crossing } from './support/crossing.ts';
import { plainReceiver } from './support/plain-receiver.ts';
import { noisyBurst, RATE_HZ } from './support/signal.ts';
import { printTable } from './support/table.ts';
import { runTrials } from './support/trials.ts';
import { proportion } from './support/wilson.ts';

/** Of each level. `FIVEUNIT_BENCH_FRAMES` sets another number, for a long run. */
const TEXTS = Number(process.env.FIVEUNIT_BENCH_FRAMES ?? 40);
const LEVELS_DB = [9, 10, 10.5, 11, 11.5, 12, 13];
const CHARACTERS = 60;
const LETTERS = 'ABCDEFGHIJKLMNOPQRSTUVWXYZ   ';

interface Outcome {
  /** As told, where a character that is not sure is marked. */
  readonly right: boolean;
  /** Every element decided for the likelier tone, as the ideal receiver does. */
  readonly decided: boolean;
  readonly plain: number;
}

/** Texts without a layout, read without a fault, beside an ideal receiver with perfect timing (0.5 exp(-Eb/2N0) an element, Proakis). */
export async function run(): Promise<void> {
  const counts = LEVELS_DB.map(() => ({ right: 0, decided: 0, plain: 0 }));
  const texts = await runTrials<readonly Outcome[]>({
    url: import.meta.url,
    count: TEXTS,
    trial: (seed) => LEVELS_DB.map((ebN0Db, i) => read(ebN0Db, 1000 * i + seed)),
    take: (outcomes) => {
      outcomes.forEach(({ right, decided, plain }, i) => {
        if (right) counts[i].right++;
        if (decided) counts[i].decided++;
        counts[i].plain += plain;
      });
    },
  });
  printTable(
    `Text without a layout, ${CHARACTERS} characters all right, ${texts} texts a row (95 % intervals)`,
    ['Eb/N0 dB', 'decided right', 'told right, none marked', 'ideal receiver'],
    LEVELS_DB.map((level, i) => [
      `${level}`,
      proportion(counts[i].decided, texts),
      proportion(counts[i].right, texts),
      (counts[i].plain / Math.max(1, texts)).toFixed(2),
    ]),
  );
  for (const share of [0.5, 0.9]) {
    const [decided, told, ideal] = (['decided', 'right', 'plain'] as const).map((kind) =>
      crossing(
        LEVELS_DB,
        counts.map((count) => count[kind] / Math.max(1, texts)),
        share,
      ),
    );
    const db = (level: number | null) => level?.toFixed(1) ?? '-';
    console.log(`${100 * share} %: decided ${db(decided)} dB, told ${db(told)} dB; ideal ${db(ideal)} dB`);
  }
}

function read(ebN0Db: number, seed: number): Outcome {
  const random = new Random(seed);
  const text =
    `${Array.from({ length: CHARACTERS - 1 }, () => LETTERS[random.integer(LETTERS.length)]).join('')}E`.trim();
  const codes = encode(text, 'ita2', { startShift: 'unknown' });
  const { samples } = noisyBurst({ codes, ebN0Db, random, phase: 'random' });
  const reader = new BurstReader({ sampleRateHz: RATE_HZ });
  let right = false;
  let decided = false;
  const take: Parameters<BurstReader['end']>[0] = ({ burst }) => {
    decided ||= holdsInOrder(burst.soft, codes);
    right ||= [burst.text, burst.alternativeText].some((each) => each?.trim() === text);
  };
  reader.push(samples, take);
  reader.end(take);
  return { right, decided, plain: plainReceiver(ebN0Db, codes.length) };
}

/** Whether codes stand somewhere one after the other, each data element taken for the likelier tone. */
function holdsInOrder({ count, elementLlr }: SoftCharacters, codes: readonly number[]): boolean {
  const decided = Array.from({ length: count }, (_, slot) =>
    [0, 1, 2, 3, 4].reduce(
      (code, bit) => code | (Number(elementLlr[slot * ELEMENTS_PER_SLOT + 1 + bit] > 0) << bit),
      0,
    ),
  );
  return decided.some((_, from) => codes.every((code, k) => decided[from + k] === code));
}

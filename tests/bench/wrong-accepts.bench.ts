import { readBurstFrames } from '../../decoders/frames/read-burst.ts';
import { BurstElements } from '../../decoders/signal/burst-elements.ts';
import type { FadingOptions } from '../../decoders/simulate/fading.ts';
import { Random } from '../../decoders/simulate/random.ts';
import type { PhaseLaw } from '../../decoders/simulate/transmitter.ts';
import { encode } from '../../decoders/teletype/alphabets.ts';
import { type DemodulatedBurst, softAt } from '../../decoders/teletype/demodulate.ts';
import { chosenRows } from './support/chosen-rows.ts';
import { mostMean } from './support/poisson.ts';
import { readBursts } from './support/reading.ts';
import { type BenchChecksum, frameShape, type ShapeName } from './support/shapes.ts';
import { noisyBurst } from './support/signal.ts';
import { printTable } from './support/table.ts';
import { runTrials } from './support/trials.ts';

/** Of each material. `FIVEUNIT_BENCH_FRAMES` sets another number, for a long run. */
const FRAMES = Number(process.env.FIVEUNIT_BENCH_FRAMES ?? 30);

interface Sending {
  readonly text: string;
  /** What may be accepted of it; null: nothing. */
  readonly right: string | null;
  /** What its checksum was made for, where that is something else. */
  readonly checkedFor?: string;
}

interface Material {
  readonly name: string;
  readonly shape: ShapeName;
  readonly checksum: BenchChecksum;
  readonly phase: PhaseLaw;
  readonly levelsDb: readonly [number, number];
  readonly fading?: FadingOptions;
  /** Every seventh character or so comes after a pause of up to so much. */
  readonly pausesElements?: number;
  /** Noise is taken for so much stronger than it is, dB. */
  readonly noiseErrorDb?: number;
  readonly draw: (material: Material, random: Random) => Sending;
}

const own: Material['draw'] = ({ shape, checksum }, random) => {
  const text = frameShape(shape, checksum).draw(random);
  return { text, right: text };
};

/** A satellite whose call sign differs in one letter, anywhere in it. */
const sister: Material['draw'] = ({ shape, checksum }, random) => {
  const callSigns = ['Q0DUM', 'Q0DVN', 'Q0EUN', 'Q1DUN'];
  return { text: frameShape(shape, checksum, callSigns[random.integer(callSigns.length)]).draw(random), right: null };
};

const otherDigit: Material['draw'] = ({ shape, checksum }, random) => {
  const checkedFor = frameShape(shape, checksum).draw(random);
  const digits = Array.from(checkedFor.slice(8, -4).matchAll(/\d/g), ({ index }) => index + 8);
  const at = digits[random.integer(digits.length)];
  const text = `${checkedFor.slice(0, at)}${(Number(checkedFor[at]) + 1 + random.integer(9)) % 10}${checkedFor.slice(at + 1)}`;
  return { text, right: null, checkedFor };
};

const otherLetter: Material['draw'] = ({ shape, checksum }, random) => {
  const checkedFor = frameShape(shape, checksum).draw(random);
  return { text: checkedFor.replace('Q0DUN', 'Q0DUM'), right: null, checkedFor };
};

const otherMission: Material['draw'] = ({ shape, checksum }, random) => {
  const others: readonly ShapeName[] = shape === 'labels' ? ['fixed digits', 'hex words'] : ['labels'];
  return { text: frameShape(others[random.integer(others.length)], checksum, 'Q7KELP').draw(random), right: null };
};

const foreignText: Material['draw'] = (_, random) => {
  const letters = 'ABCDEFGHIJKLMNOPQRSTUVWXYZ   0123456789';
  return { text: Array.from({ length: 60 }, () => letters[random.integer(letters.length)]).join(''), right: null };
};

const CRC16 = 'crc-16/ibm-3740';
const CRC8 = 'crc-8/smbus';
const DIGITS = { shape: 'fixed digits', checksum: CRC16 } as const;
const UNCHECKED = { shape: 'fixed digits', checksum: null } as const;
const FADED = { levelsDb: [6, 18] } as const;
const CONTINUOUS = { phase: 'continuous', levelsDb: [0, 12], draw: own } as const;
const SWITCHED = { phase: 'switched', levelsDb: [3, 12], draw: own } as const;
const JUMPING = { phase: 'random', levelsDb: [3, 12], draw: own } as const;

/** New rows go to the end: a row's number is part of its seeds. The numbers of seeds differ: what is mostly accepted fills the count, what must not be accepted is watched beside it. */
const ALL_MATERIAL: readonly Material[] = [
  { name: 'own', ...DIGITS, ...CONTINUOUS },
  { name: 'own', shape: 'labels', checksum: CRC16, ...CONTINUOUS },
  { name: 'own', shape: 'hex words', checksum: CRC16, ...CONTINUOUS },
  { name: 'own', shape: 'fixed digits', checksum: CRC8, ...CONTINUOUS },
  { name: 'own', shape: 'labels', checksum: 'xor-8', ...CONTINUOUS },
  { name: 'own', shape: 'fixed digits', checksum: null, ...CONTINUOUS },
  { name: 'own', ...DIGITS, ...SWITCHED },
  { name: 'own', shape: 'labels', checksum: CRC8, ...SWITCHED },
  { name: 'own', ...DIGITS, ...JUMPING },
  { name: 'own', shape: 'hex words', checksum: CRC8, ...JUMPING },
  { name: 'noise thought 2 dB weaker', ...DIGITS, ...CONTINUOUS, noiseErrorDb: -2 },
  { name: 'noise thought 2 dB weaker', shape: 'labels', checksum: CRC8, ...SWITCHED, noiseErrorDb: -2 },
  { name: 'noise thought 2 dB stronger', ...DIGITS, ...CONTINUOUS, noiseErrorDb: 2 },
  { name: 'Rician K 6 dB, 0.2 Hz', ...DIGITS, ...CONTINUOUS, fading: { spreadHz: 0.2, ricianKDb: 6 } },
  { name: 'Rician K 6 dB, 1 Hz', ...DIGITS, ...SWITCHED, fading: { spreadHz: 1, ricianKDb: 6 } },
  { name: 'Rayleigh, 0.2 Hz', shape: 'labels', checksum: CRC8, ...SWITCHED, fading: { spreadHz: 0.2 } },
  { name: 'Rayleigh, 1 Hz', ...DIGITS, ...SWITCHED, fading: { spreadHz: 1 } },
  { name: 'sister satellite', ...DIGITS, ...CONTINUOUS, levelsDb: [1, 20], draw: sister },
  { name: 'sister satellite', shape: 'labels', checksum: CRC8, ...SWITCHED, levelsDb: [6, 20], draw: sister },
  { name: 'sister satellite', shape: 'hex words', checksum: null, ...CONTINUOUS, levelsDb: [3, 20], draw: sister },
  { name: 'digit changed', ...DIGITS, ...CONTINUOUS, draw: otherDigit },
  { name: 'letter of call sign changed', ...DIGITS, ...CONTINUOUS, levelsDb: [1, 20], draw: otherLetter },
  { name: 'another mission', ...DIGITS, ...CONTINUOUS, draw: otherMission },
  { name: 'foreign text', shape: 'labels', checksum: CRC8, ...CONTINUOUS, draw: foreignText },
  { name: 'Rician K 6 dB, 1 Hz', ...UNCHECKED, ...CONTINUOUS, ...FADED, fading: { spreadHz: 1, ricianKDb: 6 } },
  { name: 'Rayleigh, 0.2 Hz', ...UNCHECKED, ...JUMPING, ...FADED, fading: { spreadHz: 0.2 } },
  { name: 'Rayleigh, 0.5 Hz', shape: 'labels', checksum: null, ...JUMPING, ...FADED, fading: { spreadHz: 0.5 } },
  { name: 'pauses to 30 elements', shape: 'labels', checksum: null, ...JUMPING, ...FADED, pausesElements: 30 },
  { name: 'pauses to 30 elements', shape: 'labels', checksum: CRC8, ...JUMPING, ...FADED, pausesElements: 30 },
  { name: 'sister satellite', ...UNCHECKED, ...SWITCHED, levelsDb: [6, 20], draw: sister },
  { name: 'sister satellite', shape: 'labels', checksum: null, ...JUMPING, levelsDb: [6, 20], draw: sister },
  { name: 'sister satellite', shape: 'hex words', checksum: CRC8, ...CONTINUOUS, levelsDb: [6, 20], draw: sister },
  { name: 'own', shape: 'one field repeated', checksum: null, ...JUMPING, levelsDb: [7, 14] },
  { name: 'own', shape: 'one field repeated', checksum: null, ...CONTINUOUS },
  { name: 'own', shape: 'fields repeated', checksum: null, ...JUMPING },
  { name: 'own', shape: 'fields repeated', checksum: null, ...CONTINUOUS },
  { name: 'own', shape: 'fields repeated', checksum: CRC8, ...CONTINUOUS },
  { name: 'own', shape: 'field behind checksum', checksum: CRC16, ...JUMPING, levelsDb: [7, 14] },
  { name: 'own', shape: 'field behind checksum', checksum: CRC16, ...CONTINUOUS },
  { name: 'own', shape: 'two checksums', checksum: CRC8, ...JUMPING },
  { name: 'own', shape: 'two checksums', checksum: CRC8, ...CONTINUOUS },
  { name: 'own', shape: 'fixed digits', checksum: 'xor-8', ...CONTINUOUS },
  { name: 'own', shape: 'fixed digits', checksum: 'xor-8', ...JUMPING },
];

const MATERIAL = chosenRows(
  ALL_MATERIAL,
  ({ name, shape, checksum, phase }) => `${name}, ${shape}, ${checksum ?? 'none'}, ${phase}`,
);

/** Of what is not the mission's own, nothing is accepted that could be counted: one seed in so many is enough. */
const STRANGERS_EVERY = 3;

interface Outcome {
  readonly material: number;
  readonly accepted: number;
  readonly wrong: number;
  readonly restored: number;
}

/**
 * What is accepted (confirmed; probable where there is no checksum), and whether it was sent: the whole way from audio, the
 * mission loaded, levels drawn evenly.
 */
export async function run(): Promise<void> {
  const counts = MATERIAL.map(() => ({ sent: 0, accepted: 0, wrong: 0, restored: 0 }));
  await runTrials<readonly Outcome[]>({
    url: import.meta.url,
    count: FRAMES,
    trial: (seed) =>
      MATERIAL.flatMap((material, i) =>
        seed % STRANGERS_EVERY === 0 || material.draw === own
          ? [{ material: i, ...send(material, material.number, seed) }]
          : [],
      ),
    take: (outcomes) => {
      for (const { material, accepted, wrong, restored } of outcomes) {
        const count = counts[material];
        count.sent++;
        count.accepted += accepted;
        count.wrong += wrong;
        count.restored += restored;
      }
    },
  });
  const row = (cells: readonly string[], { sent, accepted, wrong, restored }: (typeof counts)[number]) => [
    ...cells,
    `${sent}`,
    `${accepted}`,
    `${wrong}`,
    accepted === 0 ? '-' : `< ${(mostMean(wrong) / accepted).toExponential(1)}`,
    `${restored}`,
  ];
  const rows = MATERIAL.map(({ name, shape, checksum, phase, levelsDb: [low, high] }, i) =>
    row([name, shape, checksum ?? 'none', phase, `${low} to ${high}`], counts[i]),
  );
  for (const [name, isChecked] of [
    ['all with a checksum: confirmed', true],
    ['all without: probable', false],
  ] as const) {
    const these = counts.filter((_, i) => (MATERIAL[i].checksum !== null) === isChecked);
    const sum = (of: (count: (typeof counts)[number]) => number) => these.reduce((total, each) => total + of(each), 0);
    const all = {
      sent: sum(({ sent }) => sent),
      accepted: sum(({ accepted }) => accepted),
      wrong: sum(({ wrong }) => wrong),
      restored: sum(({ restored }) => restored),
    };
    rows.push(row([name, '', '', '', ''], all));
  }
  const headings = [
    'material',
    'frames',
    'checksum',
    'phase',
    'Eb/N0 dB',
    'sent',
    'accepted',
    'wrong',
    '95 % sure: less than',
  ];
  printTable('Wrong among accepted', [...headings, 'as the checksum calls for'], rows);
}

function send(material: Material, kind: number, seed: number): Omit<Outcome, 'material'> {
  const { shape, checksum, phase, levelsDb, fading, pausesElements, noiseErrorDb = 0 } = material;
  const random = new Random(1_000_000 * (kind + 1) + seed);
  const { text, right, checkedFor } = material.draw(material, random);
  const codes = encode(text, 'ita2', { startShift: 'unknown' });
  const { samples } = noisyBurst({
    codes,
    ebN0Db: random.uniform(...levelsDb),
    random,
    phase,
    ...(fading && { fading }),
    ...(pausesElements && {
      gapElements: codes.map(() => (random.uniform() < 0.15 ? random.uniform(0, pausesElements) : 0)),
    }),
  });
  const counts = { accepted: 0, wrong: 0, restored: 0 };
  const accepting = checksum === null ? 'probable' : 'confirmed';
  const { mission } = frameShape(shape, checksum);
  for (const signal of readBursts(samples, mission)) {
    for (const { frame } of readBurstFrames(withNoiseError(signal, noiseErrorDb), [mission])?.frames ?? []) {
      if (frame.trust !== accepting || !frame.complete) continue;
      counts.accepted++;
      if (frame.text === checkedFor) counts.restored++;
      else if (frame.text !== right) {
        counts.wrong++;
        console.log(`wrong: ${material.name} (${kind}), seed ${seed}, ${frame.confidence}\n  ${text}\n  ${frame.text}`);
      }
    }
  }
  return counts;
}

/** The burst as it would be if its noise had been measured wrongly. */
function withNoiseError(signal: DemodulatedBurst, errorDb: number): DemodulatedBurst {
  if (errorDb === 0) return signal;
  const { tones, elementSeconds, level } = signal.elements;
  const noisePower = level.noisePower * 10 ** (errorDb / 10);
  const elements = new BurstElements(signal.baseband, tones, elementSeconds, { ...level, noisePower });
  return { ...signal, elements, soft: softAt(elements, signal.soft.startSeconds) };
}

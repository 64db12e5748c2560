import { renderFrame } from '../../../decoders/frames/render.ts';
import { readMission } from '../../../decoders/mission/read.ts';
import type { Mission } from '../../../decoders/mission/types.ts';
import type { Random } from '../../../decoders/simulate/random.ts';

/** A kind of frame on a channel that its mission names, and how to draw one. */
export interface FrameShape {
  readonly name: ShapeName;
  readonly mission: Mission;
  readonly draw: (random: Random) => string;
}

export const CHANNEL = { baud: 500 / 11, markHz: 1275, spaceHz: 1445, stopElements: 1.5, intervalSeconds: 60 } as const;

/** Checksums that a frame may end with: names as in a mission, or none. */
export const CHECKSUMS = ['crc-16/ibm-3740', 'crc-8/smbus', 'xor-8', null] as const;
export type BenchChecksum = (typeof CHECKSUMS)[number];

const LABELS: readonly (readonly [label: string, most: number, isSigned: boolean])[] = [
  ['V', 5, false],
  ['I', 4, true],
  ['T', 3, true],
  ['P', 5, false],
  ['M', 4, false],
  ['C', 6, false],
  ['R', 3, false],
];

/** Fixed digits; labels with varying widths and signs; hex words. About 60 characters each. */
export const SHAPE_NAMES = ['fixed digits', 'labels', 'hex words'] as const;
/** Whose derived parts bear out a part of the frame only. */
export const UNEVEN_SHAPE_NAMES = [
  'one field repeated',
  'fields repeated',
  'field behind checksum',
  'two checksums',
] as const;
export type ShapeName = (typeof SHAPE_NAMES)[number] | (typeof UNEVEN_SHAPE_NAMES)[number];

const made = new Map<string, FrameShape>();

/** Made once each: compiling a mission takes longer than reading a clear frame of it. */
export function frameShape(name: ShapeName, checksum: BenchChecksum, callSign = 'Q0DUN'): FrameShape {
  const key = `${name} ${checksum} ${callSign}`;
  const shape = made.get(key) ?? makeShape(name, checksum, callSign);
  made.set(key, shape);
  return shape;
}

function makeShape(name: ShapeName, checksum: BenchChecksum, callSign: string): FrameShape {
  switch (name) {
    case 'fixed digits':
      return fixedDigits(checksum, callSign);
    case 'labels':
      return labels(checksum, callSign);
    case 'hex words':
      return hexWords(checksum, callSign);
    case 'one field repeated':
      return digitsWith(name, 8, checksum, callSign, () => [], [{ again: 'f0' }, { text: ' ' }]);
    case 'fields repeated':
      return digitsWith(name, 5, checksum, callSign, (i) => [{ again: `f${i}`, complement: true }, { text: ' ' }], []);
    case 'field behind checksum': {
      const sum = checksum === null ? [] : [checksumPart(checksum), { text: ' ' }];
      return digitsWith(name, 9, null, callSign, (i) => (i === 6 ? sum : []), []);
    }
    case 'two checksums': {
      const sum = (i: number) => ({ ...CRC8_PART, from: `f${i - 3}`, to: `f${i}` });
      return digitsWith(name, 8, null, callSign, (i) => (i % 4 === 3 ? [sum(i), { text: ' ' }] : []), []);
    }
  }
}

const CRC8_PART = { checksum: 'crc-8/smbus', hex: 2 };

/** Fields of four digits, each with what stands behind it, and an end. */
function digitsWith(
  name: ShapeName,
  fields: number,
  checksum: BenchChecksum,
  callSign: string,
  behind: (i: number) => readonly unknown[],
  end: readonly unknown[],
): FrameShape {
  return shape(
    name,
    [
      { text: `${callSign} A ` },
      ...each(fields, (i) => [{ field: `f${i}`, digits: 4 }, { text: ' ' }, ...behind(i)]),
      ...end,
    ],
    checksum,
    callSign,
    (random) => each(fields, (i) => [[`f${i}`, random.integer(10_000)]]),
  );
}

export const SHAPES: readonly FrameShape[] = SHAPE_NAMES.map((name) => frameShape(name, 'crc-16/ibm-3740'));

function fixedDigits(checksum: BenchChecksum, callSign: string): FrameShape {
  return shape(
    'fixed digits',
    [{ text: `${callSign} A ` }, ...each(9, (i) => [{ field: `f${i}`, digits: 4 }, { text: ' ' }])],
    checksum,
    callSign,
    (random) => each(9, (i) => [[`f${i}`, random.integer(10_000)]]),
  );
}

function labels(checksum: BenchChecksum, callSign: string): FrameShape {
  return shape(
    'labels',
    [
      { text: `${callSign} ` },
      ...LABELS.flatMap(([label, most, isSigned], i) => [
        { text: label },
        { field: `f${i}`, digits: [1, most], ...(isSigned ? { sign: 'minus' } : {}) },
        { text: ' ' },
      ]),
      { text: 'K' },
    ],
    checksum,
    callSign,
    (random) =>
      LABELS.map(([, most, isSigned], i) => {
        const size = Math.floor(10 ** random.uniform(0, most));
        return [`f${i}`, isSigned && random.uniform() < 0.5 ? -size : size];
      }),
  );
}

function hexWords(checksum: BenchChecksum, callSign: string): FrameShape {
  return shape(
    'hex words',
    [{ text: `DE ${callSign} ` }, ...each(8, (i) => [{ field: `f${i}`, hex: 4 }, { text: ' ' }])],
    checksum,
    callSign,
    (random) => each(8, (i) => [[`f${i}`, random.integer(65_536)]]),
  );
}

function shape(
  name: ShapeName,
  layout: readonly unknown[],
  checksum: BenchChecksum,
  callSign: string,
  values: (random: Random) => readonly (readonly [string, number])[],
): FrameShape {
  const { mission, faults } = readMission({
    fiveunit: 1,
    id: 'bench-1',
    name: 'Bench',
    callSign,
    beacon: { modulation: 'afsk', ...CHANNEL },
    frames: [{ id: 'a', layout: checksum === null ? layout : [...layout, checksumPart(checksum)] }],
    parameters: [],
  });
  if (!mission) throw new Error(JSON.stringify(faults));
  return { name, mission, draw: (random) => renderFrame(mission, 'a', Object.fromEntries(values(random))) };
}

function checksumPart(checksum: string): unknown {
  return { checksum, hex: checksum.startsWith('crc-16') ? 4 : 2 };
}

function each<T>(count: number, make: (index: number) => readonly T[]): T[] {
  return Array.from({ length: count }, (_, i) => make(i)).flat();
}

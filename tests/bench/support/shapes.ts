import { renderFrame } from '../../../decoders/frames/render.ts';
import { readMission } from '../../../decoders/mission/read.ts';
import type { Mission } from '../../../decoders/mission/types.ts';
import type { Random } from '../../../decoders/simulate/random.ts';

/** A kind of frame on a channel that its mission names, and how to draw one. */
export interface FrameShape {
  readonly name: string;
  readonly mission: Mission;
  readonly draw: (random: Random) => string;
}

export const CHANNEL = { baud: 500 / 11, markHz: 1275, spaceHz: 1445, stopElements: 1.5, intervalSeconds: 60 } as const;

const CHECKSUM = { checksum: 'crc-16/ibm-3740', hex: 4 };
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
export const SHAPES: readonly FrameShape[] = [
  shape(
    'fixed digits',
    [{ text: 'Q0DUN A ' }, ...each(9, (i) => [{ field: `f${i}`, digits: 4 }, { text: ' ' }]), CHECKSUM],
    (random) => each(9, (i) => [[`f${i}`, random.integer(10_000)]]),
  ),
  shape(
    'labels',
    [
      { text: 'Q0DUN ' },
      ...LABELS.flatMap(([label, most, isSigned], i) => [
        { text: label },
        { field: `f${i}`, digits: [1, most], ...(isSigned ? { sign: 'minus' } : {}) },
        { text: ' ' },
      ]),
      { text: 'K' },
      CHECKSUM,
    ],
    (random) =>
      LABELS.map(([, most, isSigned], i) => {
        const size = Math.floor(10 ** random.uniform(0, most));
        return [`f${i}`, isSigned && random.uniform() < 0.5 ? -size : size];
      }),
  ),
  shape(
    'hex words',
    [{ text: 'DE Q0DUN ' }, ...each(8, (i) => [{ field: `f${i}`, hex: 4 }, { text: ' ' }]), CHECKSUM],
    (random) => each(8, (i) => [[`f${i}`, random.integer(65_536)]]),
  ),
];

function shape(
  name: string,
  layout: readonly unknown[],
  values: (random: Random) => readonly (readonly [string, number])[],
): FrameShape {
  const { mission, faults } = readMission({
    fiveunit: 1,
    id: 'bench-1',
    name: 'Bench',
    callSign: 'Q0DUN',
    beacon: { modulation: 'afsk', ...CHANNEL },
    frames: [{ id: 'a', layout }],
    parameters: [],
  });
  if (!mission) throw new Error(JSON.stringify(faults));
  return { name, mission, draw: (random) => renderFrame(mission, 'a', Object.fromEntries(values(random))) };
}

function each<T>(count: number, make: (index: number) => readonly T[]): T[] {
  return Array.from({ length: count }, (_, i) => make(i)).flat();
}

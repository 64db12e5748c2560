import type { Width } from './blocks.ts';
import { BLOCK_SECONDS } from './boxes.ts';
import type { SearchHint } from './types.ts';

/** One way to look: a range of speeds, and a stretch of time that holds about 48 of their characters, or 16. */
export interface SearchClass {
  /** Speeds within +-20 % are served. */
  readonly centreBaud: number;
  /** Length of the window, and how often one is looked at, in blocks. */
  readonly blocks: number;
  readonly hop: number;
  /** Blocks on either side that are measured too, when something is seen in the window. */
  readonly margin: number;
  readonly width: Width;
  /** Bins averaged, because faster keying makes wider lobes. */
  readonly smoothing: 1 | 3 | 5 | 7;
  readonly driftsHzPerSecond: readonly number[];
  /** Least average of a tone's cells over the window. */
  readonly peakLevel: number;
  /** Least share of blocks in which the pair stands above the noise. */
  readonly presentShare: number;
  /** Most pairs that are looked into, best first. */
  readonly mostPairs: number;
  /** Least mean |keying|, and least strength of the lines at the character rate. */
  readonly openness: number;
  readonly rateStrength: number;
  /** Length of the transform of the keying. */
  readonly rateTransform: 512 | 1024;
}

const both = (...rates: number[]): number[] => [0, ...rates.flatMap((rate) => [rate, -rate])];

const LONG_CLASSES: readonly SearchClass[] = [
  speedClass(52, 36, 'narrow', 1, both(15, 30, 45), 1.16, 0.77),
  speedClass(68, 27, 'narrow', 1, both(20, 40), 1.16, 0.8),
  speedClass(88, 21, 'narrow', 1, both(33), 1.18, 0.8),
  speedClass(115, 15, 'narrow', 3, both(40), 1.16, 0.79),
  speedClass(150, 12, 'wide', 3, both(), 1.14, 0.82),
  speedClass(200, 9, 'wide', 5, both(), 1.12, 0.87),
  speedClass(262, 7, 'wide', 7, both(), 1.12, 0.84),
];

/** The same classes for bursts too short to fill their windows. */
export const SEARCH_CLASSES: readonly SearchClass[] = [...LONG_CLASSES, ...LONG_CLASSES.map(shortClass)];

function speedClass(
  centreBaud: number,
  blocks: number,
  width: Width,
  smoothing: SearchClass['smoothing'],
  driftsHzPerSecond: readonly number[],
  peakLevel: number,
  presentShare: number,
): SearchClass {
  const hop = Math.floor(blocks / 3);
  return {
    centreBaud,
    blocks,
    hop,
    margin: 0,
    width,
    smoothing,
    driftsHzPerSecond,
    peakLevel,
    presentShare,
    mostPairs: 13,
    openness: 0,
    rateStrength: 11,
    rateTransform: 1024,
  };
}

/**
 * Bursts of 15 characters are found only when they are clear, as little else would tell them from chance: their pairs stand
 * out, and are few.
 */
function shortClass(long: SearchClass): SearchClass {
  const blocks = Math.ceil(0.34 * long.blocks);
  return {
    ...long,
    blocks,
    hop: Math.max(1, Math.floor(blocks / 3)),
    margin: Math.ceil(blocks / 2),
    driftsHzPerSecond: long.driftsHzPerSecond.length > 3 ? both(33) : [0],
    peakLevel: 1.4,
    presentShare: 0.6,
    mostPairs: 3,
    openness: 0.38,
    rateStrength: 8,
    rateTransform: 512,
  };
}

/** Speeds in use on the air for five-unit teletype (common practice). */
export const USUAL_BAUDS: readonly number[] = [45.45, 50, 56.88, 74.2, 75, 100, 110, 150, 200, 300];

/** Speeds to look for: those of the hints when every hint names some, else the usual ones too. */
export function baudsToSearch(hints: readonly SearchHint[]): readonly number[] {
  const named = hints.flatMap((hint) => hint.bauds ?? []);
  const all = hints.length > 0 && hints.every((hint) => hint.bauds !== undefined) ? named : [...named, ...USUAL_BAUDS];
  return [...new Set(all)].sort((a, b) => a - b);
}

/** Hz/s that the classes cover as they are. */
export const USUAL_DRIFT = 50;
/** Bins a window may smear over, beyond those averaged anyway, before drift needs steps of its own. */
const UNSTEPPED_HZ = 110;

/** The classes with drifts of up to `mostHzPerSecond`, in the steps that each has or, in short windows, comes to need. */
export function searchClasses(mostHzPerSecond: number): readonly SearchClass[] {
  if (mostHzPerSecond <= USUAL_DRIFT) return SEARCH_CLASSES;
  return SEARCH_CLASSES.map((each) => {
    const [, usual] = each.driftsHzPerSecond;
    const step = usual ?? UNSTEPPED_HZ / (each.blocks * BLOCK_SECONDS);
    const count = Math.ceil(mostHzPerSecond / step - 0.5);
    return { ...each, driftsHzPerSecond: both(...Array.from({ length: count }, (_, i) => (i + 1) * step)) };
  });
}

export const servesBaud = ({ centreBaud }: SearchClass, baud: number): boolean =>
  baud > 0.8 * centreBaud && baud < 1.2 * centreBaud;

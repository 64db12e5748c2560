import type { MissionBeacon } from '../frames/known-beacons.ts';
import { type ElementPattern, PATTERN_ELEMENTS } from '../signal/known/types.ts';
import { CODE_CR, CODE_FIGS, CODE_LF, CODE_LTRS } from '../teletype/alphabets.ts';

/** The first characters of a transmission. */
export interface Opening {
  /** `PATTERN_ELEMENTS` each: 1 = mark, 0 = space, NaN where either may be. */
  readonly elements: Float64Array;
  /** How usual it is to begin so, log. */
  readonly logPrior: number;
}

/** More is not waited for before a beginning is told. */
const MOST_CHARACTERS = 8;
/** An expectation beyond this is as good as certain. */
const LEAST_LITERAL = 0.99;
/** What machines send before a line (common practice). */
const LINE_STARTS: readonly (readonly number[])[] = [[], [CODE_CR, CODE_LF], [CODE_CR, CODE_CR, CODE_LF]];

/** Most senders set the case first: a receiver's is not known to them. A guess that matters where noise hides one element. */
const LOG_UNSHIFTED = -2;

/**
 * Everything that transmissions of a beacon may begin with: the head of each layout as far as it is literal, after a line's
 * beginning, or none, and a shift, or none. Layouts that begin alike count once.
 */
export function openingsOf({ patterns, missionOfPattern }: MissionBeacon): Opening[] {
  const openings = new Map<string, Opening>();
  patterns.forEach((pattern, i) => {
    const { repeat = 1 } = missionOfPattern[i].beacon.shifts;
    const shifts = [CODE_LTRS, CODE_FIGS].map((code) => Array.from({ length: repeat }, () => code));
    for (const lineStart of LINE_STARTS) {
      for (const shift of [[], ...shifts]) {
        const elements = elementsAfter([...lineStart, ...shift], pattern);
        openings.set(elements.join(), { elements, logPrior: shift.length === 0 ? LOG_UNSHIFTED : 0 });
      }
    }
  });
  return [...openings.values()];
}

function elementsAfter(codes: readonly number[], { expected }: ElementPattern): Float64Array {
  const elements = codes.flatMap((code) => [0, ...[0, 1, 2, 3, 4].map((bit) => (code >> bit) & 1), 1]);
  for (const value of expected) elements.push(Math.abs(value) > LEAST_LITERAL ? Number(value > 0) : Number.NaN);
  return Float64Array.from({ length: MOST_CHARACTERS * PATTERN_ELEMENTS }, (_, i) => elements[i] ?? framing(i));
}

/** What start and stop are in any character. */
function framing(index: number): number {
  const element = index % PATTERN_ELEMENTS;
  if (element === 0) return 0;
  return element === PATTERN_ELEMENTS - 1 ? 1 : Number.NaN;
}

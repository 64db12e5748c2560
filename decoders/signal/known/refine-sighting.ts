import type { Baseband } from '../burst-baseband.ts';
import { correlateParts } from '../burst-correlator.ts';
import type { PatternTaps } from './pattern-taps.ts';

/** Where a pattern is looked for closely. */
export interface Place {
  readonly startSeconds: number;
  readonly offsetHz: number;
}

/** How the keying follows a pattern from a place on. */
export interface Likeness {
  /** In standard deviations of keying at random. */
  readonly score: number;
  /** The same of that half of the pattern, earlier or later, which is followed less well. */
  readonly weakerHalf: number;
  /** Root mean square of the keying d = (a - b) / (a + b + mean): how far one tone is above the other, right or wrong. */
  readonly clarity: number;
  /** Keying that goes with the pattern less that against it, as a share of all. */
  readonly agreement: number;
}

export interface Refined extends Place {
  readonly likeness: Likeness;
}

/** Places that are tried about the best so far, round by round: parts of an element in time, shares of a step in offset. */
const ROUNDS: readonly { readonly parts: readonly number[]; readonly steps: readonly number[] }[] = [
  { parts: [-2, 0, 2], steps: [-0.5, 0, 0.5] },
  { parts: [-1, 0, 1], steps: [-0.25, 0, 0.25] },
  { parts: [0], steps: [-0.125, 0, 0.125] },
];

/**
 * Climbs to the place where the tones have most of their energy where a pattern calls for it, from one given to within half
 * an element and a step. (Energy tells the place at any level; how clear the keying is does so for weak ones only.)
 *
 * @param tonesHz mark and space in the baseband, without the offset.
 */
export function refinePlace(
  baseband: Baseband,
  tonesHz: readonly [markHz: number, spaceHz: number],
  elementSeconds: number,
  taps: PatternTaps,
  place: Place,
  stepHz: number,
): Refined {
  const tones = new PartedTones(baseband, tonesHz, elementSeconds, taps, place);
  let best = { parts: 0, hz: 0, energy: tones.matchedEnergy(0, 0) };
  for (const round of ROUNDS) {
    const { parts, hz } = best;
    for (const dParts of round.parts) {
      for (const dSteps of round.steps) {
        const at = { parts: parts + dParts, hz: hz + dSteps * stepHz };
        const energy = tones.matchedEnergy(at.parts, at.hz);
        if (energy > best.energy) best = { ...at, energy };
      }
    }
  }
  return {
    startSeconds: place.startSeconds + (best.parts * elementSeconds) / PARTS,
    offsetHz: place.offsetHz + best.hz,
    likeness: tones.likeness(best.parts, best.hz),
  };
}

/** Parts of an element whose sums are held. */
const PARTS = 8;
/** Parts held before and after the pattern. */
const MARGIN = PARTS;
/** Elements of the pattern over which the mean energy is taken: what is loud elsewhere does not count here. */
const NEAR = 24;
const NOTHING: Likeness = { score: 0, weakerHalf: 0, clarity: 0, agreement: 0 };

/** What both tones' sums are held in: one place is looked at after the other, and none for longer. */
const held: [mark: Float64Array, space: Float64Array] = [new Float64Array(0), new Float64Array(0)];

/**
 * Both tones' sums over parts of elements about a place: another start or offset costs no new correlation. Holds until the
 * next is made.
 */
class PartedTones {
  private readonly partSeconds: number;
  private readonly taps: PatternTaps;
  /** First part of each tap's element when it begins at the place. */
  private readonly first: Int32Array;
  private readonly mark: Float64Array;
  private readonly space: Float64Array;
  private readonly difference: Float64Array;
  /** Energies of the elements up to each tap, summed. */
  private readonly energies: Float64Array;

  constructor(
    baseband: Baseband,
    tonesHz: readonly [number, number],
    elementSeconds: number,
    taps: PatternTaps,
    place: Place,
  ) {
    const count = taps.elements.length;
    this.taps = taps;
    this.partSeconds = elementSeconds / PARTS;
    this.first = Int32Array.from(taps.elements, (element) => MARGIN + Math.round(PARTS * element));
    const parts = this.first[count - 1] + PARTS + MARGIN;
    const fromSeconds = place.startSeconds - MARGIN * this.partSeconds;
    for (let tone = 0; tone < 2; tone++) {
      if (held[tone].length < 2 * parts) held[tone] = new Float64Array(2 * parts);
      const hz = tonesHz[tone] + place.offsetHz;
      correlateParts(baseband, hz, fromSeconds, this.partSeconds, held[tone].subarray(0, 2 * parts));
    }
    [this.mark, this.space] = held;
    this.difference = new Float64Array(count);
    this.energies = new Float64Array(count + 1);
  }

  /** Energy that goes with the pattern less that against it, at a start so many parts later and an offset so much higher. */
  matchedEnergy(parts: number, hz: number): number {
    this.correlate(parts, hz);
    let sum = 0;
    for (let i = 0; i < this.difference.length; i++) sum += this.taps.weights[i] * this.difference[i];
    return sum;
  }

  likeness(parts: number, hz: number): Likeness {
    this.correlate(parts, hz);
    return likenessOf(this.difference, this.energies, this.taps);
  }

  private correlate(parts: number, hz: number): void {
    const { first, difference, energies } = this;
    const turn = -2 * Math.PI * hz * this.partSeconds;
    const turnRe = Math.cos(turn);
    const turnIm = Math.sin(turn);
    for (let i = 0; i < first.length; i++) {
      const a = turnedPower(this.mark, first[i] + parts, turnRe, turnIm);
      const b = turnedPower(this.space, first[i] + parts, turnRe, turnIm);
      difference[i] = a - b;
      energies[i + 1] = energies[i] + a + b;
    }
  }
}

function likenessOf(
  difference: Float64Array,
  energies: Float64Array,
  { weights, firstHalf }: Pick<PatternTaps, 'weights' | 'firstHalf'>,
): Likeness {
  const count = difference.length;
  if (energies[count] === 0) return NOTHING;
  let sum = 0;
  let squares = 0;
  let magnitudes = 0;
  let keying = 0;
  let earlier = 0;
  let earlierSquares = 0;
  for (let i = 0; i < count; i++) {
    const from = Math.max(0, Math.min(i - NEAR / 2, count - NEAR));
    const to = Math.min(count, from + NEAR);
    const mean = (energies[to] - energies[from]) / (2 * (to - from));
    const d = difference[i] / (energies[i + 1] - energies[i] + mean || 1);
    const part = weights[i] * d;
    sum += part;
    squares += part * part;
    magnitudes += Math.abs(part);
    keying += d * d;
    if (i >= firstHalf) continue;
    earlier = sum;
    earlierSquares = squares;
  }
  const later = ratio(sum - earlier, Math.sqrt(squares - earlierSquares));
  return {
    score: ratio(sum, Math.sqrt(squares)),
    weakerHalf: Math.min(ratio(earlier, Math.sqrt(earlierSquares)), later),
    clarity: Math.sqrt(keying / count),
    agreement: ratio(sum, magnitudes),
  };
}

const ratio = (a: number, b: number): number => (b > 0 ? a / b : 0);

/** |sum over an element's parts, each turned by w more than the last|^2. */
function turnedPower(sums: Float64Array, firstPart: number, wRe: number, wIm: number): number {
  let re = 0;
  let im = 0;
  for (let i = 2 * (firstPart + PARTS - 1); i >= 2 * firstPart; i -= 2) {
    const next = re * wRe - im * wIm + sums[i];
    im = re * wIm + im * wRe + sums[i + 1];
    re = next;
  }
  return re * re + im * im;
}

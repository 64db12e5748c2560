import type { Baseband } from './burst-baseband.ts';
import { correlateParts } from './burst-correlator.ts';

/** Where the two tones lie in a baseband, at the middle of the burst. */
export interface TonePair {
  readonly markOffsetHz: number;
  readonly spaceOffsetHz: number;
}

export interface ToneRefinement extends TonePair {
  /** Drift left in the baseband. */
  readonly driftHzPerSecond: number;
}

export interface ToneSearch {
  readonly elementSeconds: number;
  readonly fromSeconds: number;
  readonly toSeconds: number;
  /** Half-width of the search in common offset. */
  readonly offsetHz: number;
  /** Half-width of the search in drift. */
  readonly driftHzPerSecond: number;
  /** The tones' distance is as given. */
  readonly isShiftKnown?: boolean;
}

const PARTS = 8;
/** A window louder than this many medians is another signal: it must not pull the tones. */
const LOUDEST = 4;

/**
 * Finds the tones' common offset, drift and distance that put the most energy into the stronger tone of each element
 * long window (half-overlapping, so that no timing is needed). The windows are held as eight parts each, so a
 * hypothesis costs eight complex turns a window and no new correlation.
 */
export function refineTones(baseband: Baseband, tones: TonePair, search: ToneSearch): ToneRefinement {
  const windows = new PartedWindows(baseband, tones, search);
  const halfLength = Math.max((search.toSeconds - search.fromSeconds) / 2, search.elementSeconds);
  let offsetStep = Math.min(0.18 / search.elementSeconds, search.offsetHz);
  let driftStep = Math.min((0.36 / search.elementSeconds / halfLength) * 1.2, search.driftHzPerSecond);
  let best = { offset: 0, drift: 0, score: windows.score(0, 0, 0) };
  const offsets = offsetStep > 0 ? Math.ceil(search.offsetHz / offsetStep) : 0;
  const drifts = driftStep > 0 ? Math.ceil(search.driftHzPerSecond / driftStep) : 0;
  for (let i = -offsets; i <= offsets; i++) {
    for (let j = -drifts; j <= drifts; j++) {
      const score = windows.score(i * offsetStep, j * driftStep, 0);
      if (score > best.score) best = { offset: i * offsetStep, drift: j * driftStep, score };
    }
  }
  let spread = 0;
  let spreadStep = offsetStep;
  for (let round = 0; round < 4; round++) {
    offsetStep /= 2;
    driftStep /= 2;
    spreadStep /= 2;
    for (const [dOffset, dDrift, dSpread] of NEIGHBOURS) {
      if (search.isShiftKnown && dSpread !== 0) continue;
      const offset = best.offset + dOffset * offsetStep;
      const drift = best.drift + dDrift * driftStep;
      const trial = spread + dSpread * spreadStep;
      const score = windows.score(offset, drift, trial);
      if (score > best.score) {
        best = { offset, drift, score };
        spread = trial;
      }
    }
  }
  const sign = Math.sign(tones.markOffsetHz - tones.spaceOffsetHz);
  return {
    markOffsetHz: tones.markOffsetHz + best.offset + (sign * spread) / 2,
    spaceOffsetHz: tones.spaceOffsetHz + best.offset - (sign * spread) / 2,
    driftHzPerSecond: best.drift,
  };
}

const NEIGHBOURS: readonly (readonly [number, number, number])[] = [
  [1, 0, 0],
  [-1, 0, 0],
  [0, 1, 0],
  [0, -1, 0],
  [0, 0, 1],
  [0, 0, -1],
  [1, 1, 0],
  [-1, -1, 0],
  [1, -1, 0],
  [-1, 1, 0],
];

class PartedWindows {
  private readonly count: number;
  private readonly partSeconds: number;
  /** Middle of the first window, from the middle of all, and from one to the next. */
  private readonly firstSeconds: number;
  private readonly stepSeconds: number;
  private readonly mark: Float64Array;
  private readonly space: Float64Array;
  private readonly sign: number;
  private ceiling = Number.POSITIVE_INFINITY;

  constructor(baseband: Baseband, tones: TonePair, search: ToneSearch) {
    const { elementSeconds, fromSeconds, toSeconds } = search;
    this.partSeconds = elementSeconds / PARTS;
    this.count = Math.max(1, Math.floor((2 * (toSeconds - fromSeconds)) / elementSeconds) - 1);
    const parts = (this.count + 1) * (PARTS / 2);
    this.mark = new Float64Array(2 * parts);
    this.space = new Float64Array(2 * parts);
    correlateParts(baseband, tones.markOffsetHz, fromSeconds, this.partSeconds, this.mark);
    correlateParts(baseband, tones.spaceOffsetHz, fromSeconds, this.partSeconds, this.space);
    this.sign = Math.sign(tones.markOffsetHz - tones.spaceOffsetHz);
    this.stepSeconds = elementSeconds / 2;
    this.firstSeconds = this.stepSeconds - (toSeconds - fromSeconds) / 2;
    const powers = new Float64Array(this.count);
    this.score(0, 0, 0, powers);
    powers.sort();
    this.ceiling = LOUDEST * powers[this.count >> 1] || Number.POSITIVE_INFINITY;
  }

  score(offsetHz: number, driftHzPerSecond: number, spreadHz: number, powers?: Float64Array): number {
    const { mark, space, count, firstSeconds, stepSeconds, partSeconds, ceiling } = this;
    const radians = -2 * Math.PI * partSeconds;
    const half = (this.sign * spreadHz) / 2;
    const hz = offsetHz + driftHzPerSecond * firstSeconds;
    const step = radians * driftHzPerSecond * stepSeconds;
    return sumPowers(mark, space, count, radians * (hz + half), radians * (hz - half), step, ceiling, powers);
  }
}

/** Sum over windows of the stronger tone's power, up to a ceiling; the tones turn by `step` more in each window. */
function sumPowers(
  mark: Float64Array,
  space: Float64Array,
  count: number,
  markTurn: number,
  spaceTurn: number,
  step: number,
  ceiling: number,
  powers?: Float64Array,
): number {
  const stepRe = Math.cos(step);
  const stepIm = Math.sin(step);
  let markRe = Math.cos(markTurn);
  let markIm = Math.sin(markTurn);
  let spaceRe = Math.cos(spaceTurn);
  let spaceIm = Math.sin(spaceTurn);
  let sum = 0;
  for (let w = 0; w < count; w++) {
    const from = w * PARTS;
    const power = Math.max(turnedPower(mark, from, markRe, markIm), turnedPower(space, from, spaceRe, spaceIm));
    if (powers) powers[w] = power;
    sum += Math.min(power, ceiling);
    let next = markRe * stepRe - markIm * stepIm;
    markIm = markRe * stepIm + markIm * stepRe;
    markRe = next;
    next = spaceRe * stepRe - spaceIm * stepIm;
    spaceIm = spaceRe * stepIm + spaceIm * stepRe;
    spaceRe = next;
  }
  return sum;
}

/** |sum of eight parts, each turned by w more than the last|^2. Parts are interleaved re, im. */
function turnedPower(parts: Float64Array, from: number, wRe: number, wIm: number): number {
  let re = 0;
  let im = 0;
  for (let i = from + 2 * (PARTS - 1); i >= from; i -= 2) {
    const next = re * wRe - im * wIm + parts[i];
    im = re * wIm + im * wRe + parts[i + 1];
    re = next;
  }
  return re * re + im * im;
}

import type { StopElements } from '../mission/types.ts';
import { type Baseband, toBaseband } from '../signal/burst-baseband.ts';
import { withoutClicks } from '../signal/burst-clicks.ts';
import { BurstElements } from '../signal/burst-elements.ts';
import { type BurstLevel, ebN0Db, markOverSpace } from '../signal/burst-level.ts';
import { limitLoud } from '../signal/burst-limiter.ts';
import { refineTones, type TonePair } from '../signal/burst-tones.ts';
import type { Acquisition } from '../signal/types.ts';
import { layOnClock } from './clock-path.ts';
import { clockStarts, followsClock } from './known-clock.ts';
import { type ElementMagnitudes, type LevelTrack, trackedLlr, trackLevels } from './level-track.ts';
import { elementTimes } from './slot-elements.ts';
import { ELEMENTS_PER_SLOT } from './soft-characters.ts';
import { fillHoles, findTiming, STEPS_PER_ELEMENT, straighten } from './timing.ts';
import type { SoftCharacters } from './types.ts';

export interface DemodulationInput {
  /** Real samples that hold the acquired stretch and some margin on either side. */
  readonly samples: Float32Array;
  readonly sampleRateHz: number;
  /** Time of the first sample, seconds from the start of the recording. */
  readonly startSeconds: number;
  readonly acquisition: Acquisition;
}

/** A burst with everything about its signal settled; still able to measure elements at other times. */
export interface DemodulatedBurst {
  readonly startSeconds: number;
  readonly endSeconds: number;
  readonly baud: number;
  readonly stopElements: StopElements;
  readonly markHz: number;
  readonly spaceHz: number;
  readonly driftHzPerSecond: number;
  readonly ebN0Db: number;
  readonly soft: SoftCharacters;
  readonly elements: BurstElements;
  /** Levels by slot of `soft`, where the path fades; null where they are steady. */
  readonly levels: LevelTrack | null;
  /** Distance of characters where they follow each other regularly. */
  readonly characterSeconds: number;
  /** Whether most do: a machine's clock, not a hand on the keys. */
  readonly isRegular: boolean;
  /** Where a weak burst that was found by what it must say keeps its first character; null for others. */
  readonly knownStartSeconds: number | null;
  /** Whether there is a burst only if its phase bears it out. */
  readonly isFaint: boolean;
  readonly baseband: Baseband;
  /** Frequency that is zero in the baseband, at the time about which drift was taken out. */
  readonly centreHz: number;
  readonly centreSeconds: number;
}

const FEWEST_CHARACTERS = 5;
const STOPS: readonly StopElements[] = [1, 1.42, 1.5, 2];

/**
 * Turns an acquired stretch into soft characters: refines tones and drift, finds the start-stop timing of the whole
 * burst, fits level and noise to the burst itself, and repeats once with what was learnt. Null when no characters
 * stand up.
 */
export function demodulate(input: DemodulationInput): DemodulatedBurst | null {
  const plain = demodulatePlain(input);
  if (!plain || plain.ebN0Db > CLEAR_DB) return plain;
  const samples = unclicked(input, plain);
  const clipped = samples && demodulatePlain({ ...input, samples });
  return clipped && clipped.ebN0Db > plain.ebN0Db + LEAST_GAIN_DB ? clipped : plain;
}

/** From here on clicks do no harm. */
const CLEAR_DB = 14;
/** What clipping must gain to be believed. */
const LEAST_GAIN_DB = 0.15;

/** The burst's samples without clicks; null where it has none. */
function unclicked(
  { samples, sampleRateHz, startSeconds }: DemodulationInput,
  { elements, baseband, ...burst }: DemodulatedBurst,
): Float32Array | null {
  const { markLevel, spaceLevel } = elements.level;
  const amplitude = (2 * Math.max(markLevel, spaceLevel)) / (elements.elementSeconds * baseband.rateHz);
  const at = (seconds: number) =>
    Math.max(0, Math.min(samples.length, Math.round((seconds - startSeconds) * sampleRateHz)));
  return withoutClicks(samples, amplitude, at(burst.startSeconds), at(burst.endSeconds));
}

function demodulatePlain(input: DemodulationInput): DemodulatedBurst | null {
  const first = demodulateAs(input, input.acquisition);
  if (!first) return null;
  const { stopElements, baud } = first;
  if (Math.abs(baud / input.acquisition.baud - 1) < 0.004) return first;
  return demodulateAs(input, { ...input.acquisition, baud, stopElements }) ?? first;
}

function demodulateAs(input: DemodulationInput, acquisition: Acquisition): DemodulatedBurst | null {
  const { sampleRateHz, startSeconds } = input;
  const elementSeconds = 1 / acquisition.baud;
  const isKnown = acquisition.knownCharacters !== undefined;
  const endSeconds = startSeconds + input.samples.length / sampleRateHz;
  const from = Math.max(startSeconds, acquisition.startSeconds);
  const to = Math.min(endSeconds, acquisition.endSeconds);
  if (to - from < FEWEST_CHARACTERS * 7 * elementSeconds) return null;
  const samples = limitLoud(
    input.samples,
    sampleRateHz,
    (from - startSeconds) * sampleRateHz,
    (to - startSeconds) * sampleRateHz,
  );
  const tuned = tune({ ...input, samples }, acquisition, from, to);
  const elements = new BurstElements(tuned.baseband, tuned.tones, elementSeconds);
  elements.guessLevel(from, to);
  let characterSeconds = acquisition.characterPeriodSeconds;
  const clocked = (): Slots | null => slotsByClock(elements, acquisition, startSeconds, endSeconds);
  let slots = clocked() ?? findSlots(elements, startSeconds, endSeconds, characterSeconds);
  let clock: Slots | null = null;
  for (let pass = 0; pass < 2; pass++) {
    if (slots.starts.length < FEWEST_CHARACTERS) return null;
    const { times, known } = elementTimes(slots.starts, elementSeconds);
    elements.fitLevel(times, known);
    const left = elements.residualOffsets(times, known);
    const isWeak = ebN0Db(elements.level) < MEASURED_DB;
    const isShiftKnown = isKnown && isWeak;
    const common = (left.markOffsetHz + left.spaceOffsetHz) / 2;
    const most = 0.2 / elementSeconds;
    const tones: TonePair = {
      markOffsetHz: elements.tones.markOffsetHz + clamp(isShiftKnown ? common : left.markOffsetHz, most),
      spaceOffsetHz: elements.tones.spaceOffsetHz + clamp(isShiftKnown ? common : left.spaceOffsetHz, most),
    };
    elements.tuneTo(tones);
    elements.fitLevel(times, known, 1);
    characterSeconds = slots.characterSeconds;
    const before = slots.starts;
    clock = isWeak ? clocked() : null;
    slots = findSlots(elements, startSeconds, endSeconds, characterSeconds);
    if (clock && !followsClock(slots.starts, clock.starts, elementSeconds)) slots = clock;
    if (sameStarts(before, slots.starts, SETTLED_ELEMENTS * elementSeconds)) break;
  }
  if (slots.starts.length < FEWEST_CHARACTERS) return null;
  const stopElements = slots.mostlyRegular && !isKnown ? likeliestStop(elements, slots) : acquisition.stopElements;
  const baud = slots.mostlyRegular ? (6 + stopElements) / slots.characterSeconds : acquisition.baud;
  const last = slots.starts[slots.starts.length - 1];
  const seen = magnitudesOf(elements, slots.starts);
  const levels = trackLevels(seen, elements.level);
  const soft: SoftCharacters = {
    ...slotsOnly(slots.starts),
    elementLlr: levels ? trackedLlr(seen, elements.level, levels) : steadyLlr(seen, elements.level),
  };
  // Few bursts are asked anything more.
  elements.rest();
  return {
    startSeconds: slots.starts[0],
    endSeconds: last + (6 + stopElements) * elementSeconds,
    baud,
    stopElements,
    markHz: tuned.centreHz + elements.tones.markOffsetHz,
    spaceHz: tuned.centreHz + elements.tones.spaceOffsetHz,
    driftHzPerSecond: tuned.driftHzPerSecond,
    ebN0Db: ebN0Db(elements.level),
    soft,
    levels,
    elements,
    characterSeconds: slots.characterSeconds,
    isRegular: slots.mostlyRegular,
    knownStartSeconds: clock?.starts[0] ?? null,
    isFaint: acquisition.isFaint ?? false,
    baseband: tuned.baseband,
    centreHz: tuned.centreHz,
    centreSeconds: (from + to) / 2,
  };
}

/** Starts that move less than this (elements) from one pass to the next leave nothing to gain. */
const SETTLED_ELEMENTS = 0.08;

function sameStarts(a: Float64Array, b: Float64Array, mostSeconds: number): boolean {
  return a.length === b.length && a.every((start, i) => Math.abs(start - b[i]) < mostSeconds);
}

interface Tuned {
  readonly baseband: Baseband;
  readonly tones: TonePair;
  readonly centreHz: number;
  readonly driftHzPerSecond: number;
}

/** Finds tones and drift; mixes once more when the drift was off. */
function tune(input: DemodulationInput, acquisition: Acquisition, from: number, to: number): Tuned {
  const elementSeconds = 1 / acquisition.baud;
  let centreHz = (acquisition.markHz + acquisition.spaceHz) / 2;
  let driftHzPerSecond = acquisition.driftHzPerSecond;
  let tones: TonePair = {
    markOffsetHz: acquisition.markHz - centreHz,
    spaceOffsetHz: acquisition.spaceHz - centreHz,
  };
  const halfLength = (to - from) / 2;
  const centreSeconds = from + halfLength;
  const isShiftKnown = acquisition.knownCharacters !== undefined;
  for (let pass = 0; ; pass++) {
    const baseband = toBaseband(input.samples, {
      sampleRateHz: input.sampleRateHz,
      startSeconds: input.startSeconds,
      centreHz,
      centreSeconds,
      driftHzPerSecond,
      baud: acquisition.baud,
      shiftHz: Math.abs(tones.markOffsetHz - tones.spaceOffsetHz),
    });
    const wide = (pass === 0 ? 1 : 0.25) * (isShiftKnown ? KNOWN_TONES : 1);
    const found = refineTones(baseband, tones, {
      elementSeconds,
      fromSeconds: from,
      toSeconds: to,
      offsetHz: (0.36 * wide) / elementSeconds,
      driftHzPerSecond: (1.4 * wide) / elementSeconds / halfLength,
      isShiftKnown,
    });
    const drifted = Math.abs(found.driftHzPerSecond) * halfLength * elementSeconds;
    if (pass === 2 || drifted < 0.04) return { baseband, tones: found, centreHz, driftHzPerSecond };
    const middle = (found.markOffsetHz + found.spaceOffsetHz) / 2;
    tones = { markOffsetHz: found.markOffsetHz - middle, spaceOffsetHz: found.spaceOffsetHz - middle };
    centreHz += middle;
    driftHzPerSecond += found.driftHzPerSecond;
  }
}

/** From this level on, what is measured of a known sender outweighs what is known. */
const MEASURED_DB = 5;
/** Tones that are known are looked for in so much of the usual range. */
const KNOWN_TONES = 0.3;

interface Slots {
  /** Start of each character, seconds. */
  readonly starts: Float64Array;
  readonly characterSeconds: number;
  readonly mostlyRegular: boolean;
}

/** Evidence of a whole burst, kept from one to the next. */
let grid = createGrid(0);

function createGrid(count: number): Record<'mark' | 'space' | 'rest', Float64Array> {
  return { mark: new Float64Array(count), space: new Float64Array(count), rest: new Float64Array(count) };
}

function findSlots(elements: BurstElements, fromSeconds: number, toSeconds: number, characterSeconds: number): Slots {
  const characterSteps = Math.round((characterSeconds * STEPS_PER_ELEMENT) / elements.elementSeconds);
  const stepSeconds = characterSeconds / characterSteps;
  const count = Math.max(1, Math.floor((toSeconds - fromSeconds) / stepSeconds));
  if (grid.mark.length < count) grid = createGrid(count);
  const [mark, space, rest] = [grid.mark, grid.space, grid.rest].map((row) => row.subarray(0, count));
  elements.evidenceGrid(fromSeconds, stepSeconds, mark, space);
  elements.restGrid(fromSeconds, stepSeconds, rest);
  const evidence = { mark, space, rest, count };
  const found = findTiming(evidence, { characterSteps });
  const path = layOnClock(found, evidence, characterSteps) ?? fillHoles(found, characterSteps);
  const starts = straighten(path);
  const regular = path.regular.reduce((sum, r) => sum + r, 0);
  const period = meanStep(starts, path.regular) ?? characterSteps;
  for (let i = 0; i < starts.length; i++) starts[i] = fromSeconds + starts[i] * stepSeconds;
  return {
    starts,
    characterSeconds: period * stepSeconds,
    mostlyRegular: regular >= 0.7 * (starts.length - 1),
  };
}

/** Slots where a sender that is known keeps its characters; null for one that is not. */
function slotsByClock(
  elements: BurstElements,
  acquisition: Acquisition,
  fromSeconds: number,
  toSeconds: number,
): Slots | null {
  const lastSeconds = toSeconds - ELEMENTS_PER_SLOT * elements.elementSeconds;
  const starts = clockStarts(elements, acquisition).filter((start) => start >= fromSeconds && start <= lastSeconds);
  if (starts.length < FEWEST_CHARACTERS) return null;
  const characterSeconds = (starts[starts.length - 1] - starts[0]) / (starts.length - 1);
  return { starts, characterSeconds, mostlyRegular: true };
}

function meanStep(starts: Float64Array, regular: Uint8Array): number | null {
  let sum = 0;
  let count = 0;
  for (let i = 1; i < starts.length; i++) {
    if (!regular[i]) continue;
    sum += starts[i] - starts[i - 1];
    count++;
  }
  return count >= FEWEST_CHARACTERS ? sum / count : null;
}

/**
 * The character period is measured well, its division into elements is not: of the usual stop lengths, takes the one
 * whose elements, laid about the middle of each character, hold the most signal; a usual speed counts in favour.
 */
function likeliestStop(elements: BurstElements, slots: Slots): StopElements {
  let best: StopElements = 1.5;
  let most = Number.NEGATIVE_INFINITY;
  for (const stop of STOPS) {
    const elementSeconds = slots.characterSeconds / (6 + stop);
    const shift = 3 * (elements.elementSeconds - elementSeconds);
    const { times, known } = elementTimes(
      slots.starts.map((start) => start + shift),
      elementSeconds,
    );
    const score = elements.explained(times, known) + usualSpeed(1 / elementSeconds);
    if (score > most) {
      most = score;
      best = stop;
    }
  }
  return best;
}

/** Speeds in use, Bd (US Navy NEETS module 17 for 45.45 and 74.2; the others common practice). */
const USUAL_BAUDS = [500 / 11, 50, 56.88, 74.2, 75, 100, 110, 150, 200, 300];
const SPEED_TOLERANCE = 0.004;
const UNUSUAL_SPEED = -8;

/** Log-prior of a speed: machines keep theirs within a few tenths of a percent. */
function usualSpeed(baud: number): number {
  let nearest = Number.POSITIVE_INFINITY;
  for (const usual of USUAL_BAUDS) nearest = Math.min(nearest, Math.abs(baud / usual - 1));
  return Math.max(UNUSUAL_SPEED, -0.5 * (nearest / SPEED_TOLERANCE) ** 2);
}

/** Soft characters of a burst at given slot starts (seconds). */
export function softAt(elements: BurstElements, starts: Float64Array): SoftCharacters {
  return { ...slotsOnly(starts), elementLlr: steadyLlr(magnitudesOf(elements, starts), elements.level) };
}

function steadyLlr({ mark, space }: ElementMagnitudes, level: BurstLevel): Float32Array {
  const llr = new Float32Array(mark.length);
  for (let i = 0; i < llr.length; i++) llr[i] = markOverSpace(mark[i], space[i], level);
  return llr;
}

function slotsOnly(starts: Float64Array): Pick<SoftCharacters, 'count' | 'startSeconds'> {
  return { count: starts.length, startSeconds: starts.slice() };
}

function magnitudesOf(elements: BurstElements, starts: Float64Array): ElementMagnitudes {
  const { times } = elementTimes(starts, elements.elementSeconds);
  const mark = new Float64Array(times.length);
  const space = new Float64Array(times.length);
  for (let i = 0; i < times.length; i++) [mark[i], space[i]] = elements.magnitudesAt(times[i]);
  return { mark, space };
}

function clamp(value: number, most: number): number {
  return Math.max(-most, Math.min(most, value));
}

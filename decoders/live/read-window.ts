import { toBaseband } from '../signal/burst-baseband.ts';
import { BurstElements } from '../signal/burst-elements.ts';
import { type BurstLevel, ebN0Db } from '../signal/burst-level.ts';
import { elementTimes } from '../teletype/slot-elements.ts';
import { findTiming, STEPS_PER_ELEMENT } from '../teletype/timing.ts';
import { characterSeconds, type Keying, keyingAt } from './keying.ts';

/** The end of a stream of samples. */
export interface SampleWindow {
  readonly samples: Float32Array;
  readonly sampleRateHz: number;
  readonly startSeconds: number;
}

export interface WindowReading {
  /** Start of each character, seconds, ascending. */
  readonly starts: readonly number[];
  /** Log-likelihood of these characters over anything without start-stop structure. */
  readonly evidence: number;
  readonly ebN0Db: number;
  readonly level: BurstLevel;
  /** Amplitude of a tone whose level is one. */
  readonly amplitudeOfLevel: number;
  /** Tones as they turned out, at the window's end. */
  readonly keying: Keying;
  /** Seven log-likelihood ratios a character, positive = mark. */
  readonly elementLlr: Float64Array;
}

/** A first guess of the level looks at so many elements before the end: a sender may have begun only then. */
const GUESSED_ELEMENTS = 30;
/** The level and the tones are fitted to no fewer characters. */
const FEWEST_TO_FIT = 2;
/** Share of the tones' measured offset that is believed, window after window. */
const FOLLOWED = 0.3;
/** No offset beyond this share of the element rate is believed at once. */
const MOST_OFFSET = 0.1;

/**
 * Reads the characters of known keying in the last seconds of a stream: the timing of the whole window at once, as in a
 * burst, so that a character damaged by noise still falls into place. Null when there is none.
 *
 * @param level as the window before had it; null to guess it.
 */
export function readWindow(window: SampleWindow, keying: Keying, level: BurstLevel | null): WindowReading | null {
  const { samples, sampleRateHz, startSeconds } = window;
  const endSeconds = startSeconds + samples.length / sampleRateHz;
  const now = keyingAt(keying, endSeconds);
  const { baud, driftHzPerSecond } = now;
  const elementSeconds = 1 / baud;
  const centreHz = (now.markHz + now.spaceHz) / 2;
  const shiftHz = now.markHz - now.spaceHz;
  const baseband = toBaseband(samples, {
    sampleRateHz,
    startSeconds,
    centreHz,
    centreSeconds: endSeconds,
    driftHzPerSecond,
    baud,
    shiftHz: Math.abs(shiftHz),
  });
  const tones = { markOffsetHz: shiftHz / 2, spaceOffsetHz: -shiftHz / 2 };
  const elements = new BurstElements(baseband, tones, elementSeconds, level ?? undefined);
  if (level === null) elements.guessLevel(endSeconds - GUESSED_ELEMENTS * elementSeconds, endSeconds);
  const period = characterSeconds(now);
  let found = findCharacters(elements, startSeconds, endSeconds, period);
  if (found.starts.length >= FEWEST_TO_FIT) {
    const { times, known } = elementTimes(Float64Array.from(found.starts), elementSeconds);
    elements.fitLevel(times, known);
    found = findCharacters(elements, startSeconds, endSeconds, period);
  }
  if (found.starts.length === 0) {
    elements.rest();
    return null;
  }
  const { times, known } = elementTimes(Float64Array.from(found.starts), elementSeconds);
  const elementLlr = times.map((time) => elements.llr(time));
  const left = elements.residualOffsets(times, known);
  elements.rest();
  const most = MOST_OFFSET * baud;
  const follow = (offsetHz: number) => FOLLOWED * Math.max(-most, Math.min(most, offsetHz));
  return {
    ...found,
    elementLlr,
    ebN0Db: ebN0Db(elements.level),
    level: elements.level,
    amplitudeOfLevel: 2 / (elementSeconds * baseband.rateHz),
    keying: {
      ...now,
      markHz: now.markHz + follow(left.markOffsetHz),
      spaceHz: now.spaceHz + follow(left.spaceOffsetHz),
    },
  };
}

/** Evidence of a window, kept from one to the next. */
let grid = createGrid(0);

function createGrid(count: number): Record<'mark' | 'space' | 'rest', Float64Array> {
  return { mark: new Float64Array(count), space: new Float64Array(count), rest: new Float64Array(count) };
}

function findCharacters(
  elements: BurstElements,
  fromSeconds: number,
  toSeconds: number,
  period: number,
): { readonly starts: number[]; readonly evidence: number } {
  const characterSteps = Math.round((period * STEPS_PER_ELEMENT) / elements.elementSeconds);
  const stepSeconds = period / characterSteps;
  const count = Math.max(1, Math.floor((toSeconds - fromSeconds) / stepSeconds));
  if (grid.mark.length < count) grid = createGrid(count);
  const [mark, space, rest] = [grid.mark, grid.space, grid.rest].map((row) => row.subarray(0, count));
  elements.evidenceGrid(fromSeconds, stepSeconds, mark, space);
  elements.restGrid(fromSeconds, stepSeconds, rest);
  const { starts, evidence } = findTiming({ mark, space, rest, count }, { characterSteps });
  return { starts: Array.from(starts, (start) => fromSeconds + start * stepSeconds), evidence };
}

import type { BurstElements } from '../signal/burst-elements.ts';
import { ebN0Db, presence } from '../signal/burst-level.ts';
import { PATTERN_ELEMENTS } from '../signal/known/types.ts';
import { characterSeconds } from './keying.ts';
import { aboveFloor } from './noise-floor.ts';
import { findOpening } from './opening-search.ts';
import type { Opening } from './openings.ts';
import type { WindowReading } from './read-window.ts';
import { type TunedWindow, weighWindow } from './tuned-window.ts';

/** A window as the beginning of a transmission that is known. */
export interface OpeningReading extends WindowReading {
  readonly opening: Opening;
  /** Start of its first character. */
  readonly openedSeconds: number;
  /** Log-likelihood of what is known of it over anything else keyed at these times; its `evidence` is that over noise. */
  readonly overText: number;
}

/** An opening that was found lies within so many steps of where it was. */
const NEAR_STEPS = 4;
/** Less than this in its favour, nats, is no opening however it is looked at. */
const LEAST_TO_LOOK_AGAIN = 10;
/** A correlation stronger than this times the level proves no more than a full element does. */
const LOUDEST = 1.6;

/**
 * Looks for what a beacon's transmissions begin with: known characters show in fewer elements than those of which nothing is
 * known. Null when there are none.
 *
 * @param found the opening that a window before this began with; null while nobody sends.
 * @param floor power of the noise while nobody sent.
 */
export function readOpening(
  window: TunedWindow,
  openings: readonly Opening[],
  found: Pick<OpeningReading, 'opening' | 'openedSeconds'> | null,
  floor: number,
): OpeningReading | null {
  if (found !== null) return look(window, [found.opening], found.openedSeconds, floor);
  const { elements } = window;
  // A guess of the level may miss the tone that was sent less.
  const louder = Math.max(elements.level.markLevel, elements.level.spaceLevel);
  elements.level = { ...elements.level, markLevel: louder, spaceLevel: louder };
  const rough = look(window, openings, null, floor);
  // With the level that was found, its place may turn out another.
  return rough === null || rough.evidence < LEAST_TO_LOOK_AGAIN ? null : look(window, openings, null, floor);
}

/** The likeliest opening at the level that the window's elements have; that is fitted to it. */
function look(
  window: TunedWindow,
  openings: readonly Opening[],
  nearSeconds: number | null,
  floor: number,
): OpeningReading | null {
  const { elements, startSeconds, keying } = window;
  const grid = weighWindow(window);
  const near = nearSeconds === null ? null : Math.round((nearSeconds - startSeconds) / grid.stepSeconds);
  const place =
    near === null ? findOpening(grid, openings) : findOpening(grid, openings, near - NEAR_STEPS, near + NEAR_STEPS);
  if (place === null) return null;
  const { opening } = place;
  const openedSeconds = startSeconds + place.start * grid.stepSeconds;
  const period = characterSeconds(keying);
  const times = timesOf(opening, openedSeconds, period, window);
  const known = opening.elements.subarray(0, times.length);
  elements.fitLevel(times, known);
  elements.level = aboveFloor(elements.level, floor);
  const { llr, evidence, overText } = weighElements(elements, times, known);
  const whole = Math.floor(times.length / PATTERN_ELEMENTS);
  return {
    opening,
    openedSeconds,
    overText,
    evidence,
    starts: Array.from({ length: whole }, (_, n) => openedSeconds + n * period),
    elementLlr: llr.subarray(0, whole * PATTERN_ELEMENTS),
    ebN0Db: ebN0Db(elements.level),
    level: elements.level,
    keying,
  };
}

/** Times of an opening's elements, as far as they have come. */
function timesOf(opening: Opening, openedSeconds: number, period: number, window: TunedWindow): Float64Array {
  const { elementSeconds } = window.elements;
  const times = Float64Array.from(opening.elements, (_, i) => {
    const element = i % PATTERN_ELEMENTS;
    return openedSeconds + ((i - element) / PATTERN_ELEMENTS) * period + element * elementSeconds;
  });
  const come = times.findIndex((time) => time + elementSeconds > window.endSeconds);
  return times.subarray(0, come < 0 ? times.length : come);
}

/** Of each element the log-likelihood ratio; of all what is known against noise, and against either tone. */
function weighElements(elements: BurstElements, times: Float64Array, known: Float64Array) {
  const { markLevel, spaceLevel, noisePower } = elements.level;
  const llr = new Float64Array(times.length);
  let evidence = 0;
  let overText = 0;
  for (let i = 0; i < times.length; i++) {
    const [markMagnitude, spaceMagnitude] = elements.magnitudesAt(times[i]);
    const mark = presence(Math.min(markMagnitude, LOUDEST * markLevel), markLevel, noisePower);
    const space = presence(Math.min(spaceMagnitude, LOUDEST * spaceLevel), spaceLevel, noisePower);
    const either = Math.max(mark, space) + Math.log1p(Math.exp(-Math.abs(mark - space))) - Math.LN2;
    const expected = known[i] === 1 ? mark : known[i] === 0 ? space : either;
    llr[i] = mark - space;
    evidence += expected;
    overText += expected - either;
  }
  return { llr, evidence, overText };
}

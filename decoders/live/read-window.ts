import { type BurstLevel, ebN0Db } from '../signal/burst-level.ts';
import { elementTimes } from '../teletype/slot-elements.ts';
import { findTiming } from '../teletype/timing.ts';
import type { Keying } from './keying.ts';
import { type TunedWindow, weighWindow } from './tuned-window.ts';

export interface WindowReading {
  /** Start of each character, seconds, ascending. */
  readonly starts: readonly number[];
  /** Log-likelihood of these characters over anything without start-stop structure. */
  readonly evidence: number;
  readonly ebN0Db: number;
  readonly level: BurstLevel;
  /** Tones as they turned out, at the window's end. */
  readonly keying: Keying;
  /** Seven log-likelihood ratios a character, positive = mark. */
  readonly elementLlr: Float64Array;
}

/** The level and the tones are fitted to no fewer characters. */
const FEWEST_TO_FIT = 2;
/** Share of the tones' measured offset that is believed, window after window. */
const FOLLOWED = 0.3;
/** No offset beyond this share of the element rate is believed at once. */
const MOST_OFFSET = 0.1;

/**
 * Reads the characters of known keying in the last seconds of a stream: the timing of the whole window at once, as in a
 * burst, so that a character damaged by noise still falls into place. Null when there is none.
 */
export function readWindow(window: TunedWindow): WindowReading | null {
  const { elements, keying } = window;
  const { elementSeconds } = elements;
  let found = findCharacters(window);
  if (found.starts.length >= FEWEST_TO_FIT) {
    const { times, known } = elementTimes(Float64Array.from(found.starts), elementSeconds);
    elements.fitLevel(times, known);
    found = findCharacters(window);
  }
  if (found.starts.length === 0) return null;
  const { times, known } = elementTimes(Float64Array.from(found.starts), elementSeconds);
  const elementLlr = times.map((time) => elements.llr(time));
  const left = elements.residualOffsets(times, known);
  const most = MOST_OFFSET * keying.baud;
  const follow = (offsetHz: number) => FOLLOWED * Math.max(-most, Math.min(most, offsetHz));
  return {
    ...found,
    elementLlr,
    ebN0Db: ebN0Db(elements.level),
    level: elements.level,
    keying: {
      ...keying,
      markHz: keying.markHz + follow(left.markOffsetHz),
      spaceHz: keying.spaceHz + follow(left.spaceOffsetHz),
    },
  };
}

/** Kept from one window to the next. */
let rests = new Float64Array(0);

function findCharacters(window: TunedWindow): { readonly starts: number[]; readonly evidence: number } {
  const { elements, startSeconds } = window;
  const { mark, space, count, characterSteps, stepSeconds } = weighWindow(window);
  if (rests.length < count) rests = new Float64Array(count);
  const rest = rests.subarray(0, count);
  elements.restGrid(startSeconds, stepSeconds, rest);
  const { starts, evidence } = findTiming({ mark, space, rest, count }, { characterSteps });
  return { starts: Array.from(starts, (start) => startSeconds + start * stepSeconds), evidence };
}

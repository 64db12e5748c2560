import { type BurstLevel, ebN0Db } from '../signal/burst-level.ts';
import { ELEMENTS_PER_SLOT } from '../teletype/soft-characters.ts';
import { aboveFloor } from './noise-floor.ts';
import type { OpeningReading } from './read-opening.ts';
import type { WindowReading } from './read-window.ts';

/** Weaker than this, what looks like characters is mostly noise. */
export const LEAST_DB = 4;
/** Characters to begin with, and what speaks for them over noise and voices, nats. */
const FEWEST_TO_BEGIN = 3;
const LEAST_TO_BEGIN = 40;
/** Fewer do when each is as clear as noise hardly ever makes one, nats, and none has its start or stop on the wrong tone. */
const FEWEST_CLEAR = 2;
const LEAST_CLEAR = 34;
const LEAST_OF_A_CLEAR = 16;
/** Log-likelihood ratio that start and stop of a clear character have at least. */
const LEAST_FRAMING = 1;
/** An opening is told when so much speaks for it over noise, and over other text at the same times, nats. */
const LEAST_TO_OPEN = 26;
const LEAST_OVER_TEXT = 8.5;
/** A sender's tones are about as loud as each other; those of voices and music are not. */
const MOST_APART_DB = 10;
const MOST_APART_CLEAR_DB = 5;

/**
 * Whether what a window holds is enough to say that a sender has begun, of which nothing more is known.
 *
 * @param floor power of the noise before: few elements hold little of it where they were found for that.
 */
export function mayBegin(reading: WindowReading, floor: number): boolean {
  const { starts, evidence, level, elementLlr } = reading;
  const { length: count } = starts;
  if (ebN0Db(aboveFloor(level, floor)) < LEAST_DB) return false;
  const apartDb = apartDbOf(level);
  if (apartDb > MOST_APART_DB) return false;
  if (count >= FEWEST_TO_BEGIN && evidence >= LEAST_TO_BEGIN) return true;
  if (count < FEWEST_CLEAR || evidence < Math.max(LEAST_CLEAR, LEAST_OF_A_CLEAR * count)) return false;
  return apartDb <= MOST_APART_CLEAR_DB && isFramed(elementLlr);
}

/** Whether a known beginning shows clearly enough; its level is above the noise before already. */
export function mayOpen({ starts, evidence, overText, level }: OpeningReading): boolean {
  if (starts.length < FEWEST_CLEAR) return false;
  if (ebN0Db(level) < LEAST_DB || apartDbOf(level) > MOST_APART_DB) return false;
  return evidence >= LEAST_TO_OPEN && overText >= LEAST_OVER_TEXT;
}

function isFramed(elementLlr: Float64Array): boolean {
  for (let at = 0; at < elementLlr.length; at += ELEMENTS_PER_SLOT) {
    const start = elementLlr[at];
    const stop = elementLlr[at + ELEMENTS_PER_SLOT - 1];
    if (start > -LEAST_FRAMING || stop < LEAST_FRAMING) return false;
  }
  return true;
}

const apartDbOf = ({ markLevel, spaceLevel }: BurstLevel): number => Math.abs(10 * Math.log10(markLevel / spaceLevel));

import type { Alphabet } from '../mission/types.ts';
import type { Acquisition } from '../signal/types.ts';
import { type DemodulatedBurst, demodulate } from './demodulate.ts';
import { printSoft } from './print.ts';
import type { Burst, SoftCharacters } from './types.ts';

/** A burst as read, with its signal for those who want to measure again. */
export interface ReadBurst {
  readonly burst: Burst;
  readonly signal: DemodulatedBurst;
}

/** Real samples of a stretch of time. */
export interface Stretch {
  readonly samples: Float32Array;
  readonly sampleRateHz: number;
  /** Time of the first sample, seconds from the start of the recording. */
  readonly startSeconds: number;
}

/** Gives the samples between two times, as far as they are held. */
export type StretchSource = (fromSeconds: number, toSeconds: number) => Stretch;

export interface PrintingOptions {
  /** Decided from the signal when left out. */
  readonly alphabet?: Alphabet | undefined;
}

/** Seconds beyond either end of an acquired stretch in which its burst may begin or end, as a share of the stretch. */
const MARGIN_SHARE = 0.12;
const LEAST_MARGIN_SECONDS = 1.2;
/** A burst that goes on to the end of the stretch looked at is read again with as much more, up to the whole history. */
export const MOST_MARGIN_SECONDS = 12;
/** Characters from the edge within which a burst counts as going on. */
const EDGE_CHARACTERS = 3;
/** The blind search finds next to nothing below 1 dB: what turns out to be weaker was none, such as two carriers in noise. */
const LEAST_BLIND_DB = -1;

/** Demodulates and prints what a search has found; null where no burst stands up. */
export function readAcquired(found: Acquisition, source: StretchSource, options: PrintingOptions): ReadBurst | null {
  const share = MARGIN_SHARE * (found.endSeconds - found.startSeconds);
  const margin = Math.min(MOST_MARGIN_SECONDS, Math.max(LEAST_MARGIN_SECONDS, share));
  const signal = demodulateWithin(found, source, margin, margin);
  if (!signal || (found.knownCharacters === undefined && signal.ebN0Db < LEAST_BLIND_DB)) return null;
  return {
    burst: {
      ...printedWith(signal.soft, options),
      startSeconds: signal.startSeconds,
      endSeconds: signal.endSeconds,
      baud: signal.baud,
      markHz: signal.markHz,
      spaceHz: signal.spaceHz,
      reversed: signal.markHz > signal.spaceHz,
      stopElements: signal.stopElements,
      driftHzPerSecond: signal.driftHzPerSecond,
      ebN0Db: signal.ebN0Db,
    },
    signal,
  };
}

function demodulateWithin(
  found: Acquisition,
  source: StretchSource,
  before: number,
  after: number,
): DemodulatedBurst | null {
  const stretch = source(found.startSeconds - before, found.endSeconds + after);
  const { samples, sampleRateHz, startSeconds } = stretch;
  const signal = demodulate({ ...stretch, acquisition: found });
  if (!signal) return null;
  const edge = EDGE_CHARACTERS * found.characterPeriodSeconds;
  const runsOn = signal.endSeconds > startSeconds + samples.length / sampleRateHz - edge;
  const runsBack = signal.startSeconds < startSeconds + edge;
  const moreAfter = runsOn && after < MOST_MARGIN_SECONDS ? Math.min(MOST_MARGIN_SECONDS, 3 * after) : after;
  const moreBefore = runsBack && before < MOST_MARGIN_SECONDS ? Math.min(MOST_MARGIN_SECONDS, 3 * before) : before;
  if (moreAfter === after && moreBefore === before) return signal;
  return demodulateWithin(found, source, moreBefore, moreAfter) ?? signal;
}

/** The same burst by another timing of its characters. */
export function withSoft(burst: Burst, soft: SoftCharacters, options: PrintingOptions): Burst {
  return { ...burst, ...printedWith(soft, options) };
}

function printedWith(
  soft: SoftCharacters,
  { alphabet }: PrintingOptions,
): Pick<Burst, 'soft' | 'text' | 'alternativeText' | 'characters'> {
  const { text, alternativeText, characters } = printSoft(soft, alphabet === undefined ? {} : { alphabet });
  return { soft, text, alternativeText, characters };
}

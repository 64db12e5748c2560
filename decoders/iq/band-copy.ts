import type { Acquisition, CarrierPoint } from '../signal/types.ts';
import { type PrintingOptions, type ReadBurst, readAcquired } from '../teletype/read-acquired.ts';
import { ELEMENTS_PER_SLOT } from '../teletype/soft-characters.ts';
import type { BandHistory } from './band-history.ts';
import { hzAt, type Tuning, viewBand } from './band-view.ts';
import { fitCarrier, trackCarrier } from './carrier-track.ts';

/** Where in time and band two tones stand. */
export interface Place {
  readonly startSeconds: number;
  readonly endSeconds: number;
  /** The middle between the tones, and how it moves. */
  readonly tuning: Tuning;
  readonly shiftHz: number;
}

/** One reading of a burst at one place in the band. An FM carrier gives several: each of its side bands is one. */
export interface BandCopy extends Place {
  readonly read: ReadBurst;
  /** Whether mark is the higher tone in the band. */
  readonly isReversed: boolean;
  /** Of both tones, in units that copies of one burst share. */
  readonly level: number;
  track(): readonly CarrierPoint[];
}

/** Place of what a search found, its tones as they stand in the band at the middle of its stretch. */
export function placeOf({ startSeconds, endSeconds, markHz, spaceHz, driftHzPerSecond }: Acquisition): Place {
  const tuning = {
    hz: (markHz + spaceHz) / 2,
    seconds: (startSeconds + endSeconds) / 2,
    hzPerSecond: driftHzPerSecond,
    hzPerSecond2: 0,
  };
  return { startSeconds, endSeconds, tuning, shiftHz: Math.abs(markHz - spaceHz) };
}

/** Whether two share most of the shorter's time, and their tones stand beside each other then. */
export function samePlace(a: Place, b: Place): boolean {
  const from = Math.max(a.startSeconds, b.startSeconds);
  const to = Math.min(a.endSeconds, b.endSeconds);
  const shorter = Math.min(a.endSeconds - a.startSeconds, b.endSeconds - b.startSeconds);
  const middle = (from + to) / 2;
  const apart = Math.abs(hzAt(a.tuning, middle) - hzAt(b.tuning, middle));
  return to - from > 0.5 * shorter && apart < Math.max(a.shiftHz, b.shiftHz) / 2;
}

/** A quarter of the view's rate is where its middle is put: the real signal needs as much room below as above. */
const VIEW = { passHz: 1300, stopHz: 2600, leastRateHz: 8000 };

/** A drift that bends a burst's ends away by more than this is followed as it bends. */
const MOST_BENT_HZ = 1.5;

/**
 * Reads what was found at a place in the band, in samples that are taken along with its drift: the demodulator sees tones
 * that stand still.
 *
 * @param found with tones as they stand in the band.
 */
export function readCopy(history: BandHistory, found: Acquisition, options: PrintingOptions): BandCopy | null {
  const straight = readAlong(history, found, placeOf(found).tuning, options);
  if (straight === null) return null;
  const { read, startSeconds, endSeconds } = straight;
  const bend = fitCarrier(straight.track(), straight.tuning.seconds)?.tuning ?? straight.tuning;
  const bentHz = Math.abs(bend.hzPerSecond2) * ((endSeconds - startSeconds) ** 2 / 8);
  if (bentHz < MOST_BENT_HZ) return straight;
  const half = ((read.burst.reversed ? 1 : -1) * straight.shiftHz) / 2;
  const tones = { markHz: bend.hz + half, spaceHz: bend.hz - half };
  const bent = readAlong(history, { ...found, startSeconds, endSeconds, ...tones }, bend, options);
  return bent && bent.read.burst.ebN0Db > read.burst.ebN0Db ? bent : straight;
}

function readAlong(
  history: BandHistory,
  found: Acquisition,
  tuning: Tuning,
  options: PrintingOptions,
): BandCopy | null {
  const rateHz = history.sampleRateHz / Math.max(1, Math.floor(history.sampleRateHz / VIEW.leastRateHz));
  const middleHz = rateHz / 4;
  const placed = {
    ...found,
    markHz: found.markHz - tuning.hz + middleHz,
    spaceHz: found.spaceHz - tuning.hz + middleHz,
    driftHzPerSecond: 0,
  };
  const read = readAcquired(
    placed,
    (fromSeconds, toSeconds) => {
      const { re, im, startSeconds } = viewBand(history, tuning, fromSeconds, toSeconds, VIEW);
      return { samples: aboutQuarter(re, im), sampleRateHz: rateHz, startSeconds };
    },
    options,
  );
  if (!read) return null;
  const { signal } = read;
  const toBandHz = (own: number, at: number): number => own - middleHz + hzAt(tuning, at);
  const middle = (signal.startSeconds + signal.endSeconds) / 2;
  const own = (signal.markHz + signal.spaceHz) / 2 + signal.driftHzPerSecond * (middle - signal.centreSeconds);
  const { markLevel, spaceLevel } = signal.elements.level;
  return {
    read,
    startSeconds: signal.startSeconds,
    endSeconds: signal.endSeconds,
    tuning: {
      hz: toBandHz(own, middle),
      seconds: middle,
      hzPerSecond: tuning.hzPerSecond + tuning.hzPerSecond2 * (middle - tuning.seconds) + signal.driftHzPerSecond,
      hzPerSecond2: tuning.hzPerSecond2,
    },
    shiftHz: Math.abs(signal.markHz - signal.spaceHz),
    isReversed: signal.markHz > signal.spaceHz,
    level: markLevel + spaceLevel,
    track: () => trackCarrier(signal, toBandHz),
  };
}

/** Complex samples as real ones, zero moved to a quarter of the rate: factors 1, j, -1, -j in turn. */
function aboutQuarter(re: Float64Array, im: Float64Array): Float32Array {
  const out = new Float32Array(re.length);
  for (let n = 0; n < out.length; n++) {
    const value = n % 2 === 0 ? re[n] : -im[n];
    out[n] = n % 4 < 2 ? value : -value;
  }
  return out;
}

const MOST_BAUD_RATIO = 1.02;
/** Of the data elements that two copies are sure of; two other texts agree in about half. */
const LEAST_AGREEING = 0.8;
const SURE_LLR = 1;

/** Whether two copies, wherever in the band, are of one transmission: the same elements at the same times. */
export function sameTransmission(a: ReadBurst, b: ReadBurst): boolean {
  const common =
    Math.min(a.burst.endSeconds, b.burst.endSeconds) - Math.max(a.burst.startSeconds, b.burst.startSeconds);
  const shorter = Math.min(a.burst.endSeconds - a.burst.startSeconds, b.burst.endSeconds - b.burst.startSeconds);
  const ratio = a.burst.baud / b.burst.baud;
  if (common < 0.5 * shorter || ratio > MOST_BAUD_RATIO || ratio < 1 / MOST_BAUD_RATIO) return false;
  let agreeing = 0;
  let compared = 0;
  let j = 0;
  const [mine, others] = [a.burst.soft, b.burst.soft];
  for (let i = 0; i < mine.count; i++) {
    const start = mine.startSeconds[i];
    while (j + 1 < others.count && others.startSeconds[j] < start - 0.5 / a.burst.baud) j++;
    if (Math.abs(others.startSeconds[j] - start) > 0.5 / a.burst.baud) continue;
    for (let e = 1; e < ELEMENTS_PER_SLOT - 1; e++) {
      const x = mine.elementLlr[i * ELEMENTS_PER_SLOT + e];
      const y = others.elementLlr[j * ELEMENTS_PER_SLOT + e];
      if (Math.abs(x) < SURE_LLR || Math.abs(y) < SURE_LLR) continue;
      compared++;
      if (x > 0 === y > 0) agreeing++;
    }
  }
  return compared > 0 && agreeing >= LEAST_AGREEING * compared;
}

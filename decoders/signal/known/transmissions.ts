import type { Acquisition } from '../types.ts';
import { merit, type Sighting } from './search.ts';
import type { KnownBeacon } from './types.ts';

/** Keying at random scores so much once in ten million independent places. */
const LEAST_SCORE = 5.2;
/** What holds of one half of the pattern only is another signal, or another place of this one. */
const LEAST_HALF = 2.2;
/** A transmission at 1 dB Eb/N0 puts a third more into its tones than noise does. */
const LEAST_EXCESS = 0.12;

/** What data elements show of the pattern, in parts of what start and stop elements show: else it is another text. */
const LEAST_LITERAL = 0.35;
/** Keying that is less clear than noise: both tones stand. */
const LEAST_CLARITY = 0.3;

type Curve = readonly (readonly [x: number, y: number])[];

/**
 * Agreement that goes with a clarity, and with an excess, between the points in straight lines: the clearer the keying and
 * the stronger the tones, the less may go against the pattern. The points lie below what 95 % of transmissions show at
 * 1, 3, 6 and 10 dB.
 */
const AGREEMENT_BY_CLARITY: Curve = [
  [0.36, 0.36],
  [0.41, 0.48],
  [0.46, 0.64],
  [0.54, 0.76],
];
const AGREEMENT_BY_EXCESS: Curve = [
  [0.2, 0.36],
  [0.37, 0.4],
  [0.56, 0.54],
  [1, 0.68],
  [1.9, 0.76],
];

/** Where a transmission has begun no other begins before so much of it is over. */
const LEAST_APART = 0.8;

/** Of a weak signal, so much of everything asked for is worth a look at its phase, which then must bear it out. */
const FAINT_SHARE = 0.8;
const MOST_FAINT_EXCESS = 0.3;

/**
 * Whether keying is that of the beacon: neither noise nor something else that is keyed.
 *
 * @param share of what is asked for.
 */
function isTransmission({ score, excess, likeness, literal, startStop }: Sighting, share: number): boolean {
  if (likeness === null || score < share * LEAST_SCORE || excess < share * LEAST_EXCESS) return false;
  const { weakerHalf, clarity, agreement } = likeness;
  return (
    weakerHalf >= share * LEAST_HALF &&
    literal >= LEAST_LITERAL * startStop &&
    clarity >= LEAST_CLARITY &&
    agreement >= share * Math.max(valueAt(AGREEMENT_BY_CLARITY, clarity), valueAt(AGREEMENT_BY_EXCESS, excess))
  );
}

interface Candidate {
  readonly sighting: Sighting;
  readonly isFaint: boolean;
}

/** What a sighting is worth; null where it is nothing. */
function candidateOf(sighting: Sighting): Candidate | null {
  if (isTransmission(sighting, 1)) return { sighting, isFaint: false };
  const isFaint = sighting.excess < MOST_FAINT_EXCESS && isTransmission(sighting, FAINT_SHARE);
  return isFaint ? { sighting, isFaint } : null;
}

function isBetter(a: Candidate, b: Candidate): boolean {
  return a.isFaint === b.isFaint ? merit(a.sighting) > merit(b.sighting) : b.isFaint;
}

/** Straight lines between the points, level beyond the first and the last. */
function valueAt(curve: Curve, x: number): number {
  const next = curve.findIndex(([at]) => at > x);
  if (next === 0) return curve[0][1];
  if (next < 0) return curve[curve.length - 1][1];
  const [x0, y0] = curve[next - 1];
  const [x1, y1] = curve[next];
  return y0 + ((y1 - y0) * (x - x0)) / (x1 - x0);
}

export interface Transmissions {
  add(sighting: Sighting): void;
  /** Reports the transmissions that no sighting from `nowSeconds` on can change. */
  settle(nowSeconds: number, onFound: (found: Acquisition) => void): void;
  /** Where one begins that may still change; infinity when there is none. */
  readonly openSeconds: number;
}

/** Picks transmissions out of sightings: those sure enough, each once, at its best place. */
export function createTransmissions(beacon: KnownBeacon): Transmissions {
  const { baud, stopElements, patterns } = beacon;
  const characterPeriodSeconds = (6 + stopElements) / baud;
  const secondsOf = ({ pattern }: Sighting): number => patterns[pattern].characters * characterPeriodSeconds;
  const isOver = (sighting: Sighting, seconds: number): boolean =>
    seconds > sighting.startSeconds + LEAST_APART * secondsOf(sighting);
  let best: Candidate | null = null;
  let settled: Candidate[] = [];

  function acquisitionOf({ sighting, isFaint }: Candidate): Acquisition {
    const { startSeconds, offsetHz, score, pattern } = sighting;
    return {
      startSeconds,
      endSeconds: startSeconds + secondsOf(sighting),
      baud,
      stopElements,
      markHz: beacon.markHz + offsetHz,
      spaceHz: beacon.spaceHz + offsetHz,
      driftHzPerSecond: 0,
      characterPhaseSeconds: startSeconds,
      characterPeriodSeconds,
      score,
      knownCharacters: patterns[pattern].characters,
      ...(isFaint && { isFaint }),
    };
  }

  function settleBefore(seconds: number): void {
    if (best === null || !isOver(best.sighting, seconds)) return;
    settled.push(best);
    best = null;
  }

  return {
    add(sighting) {
      const candidate = candidateOf(sighting);
      if (candidate === null) return;
      settleBefore(sighting.startSeconds);
      if (best === null || isBetter(candidate, best)) best = candidate;
    },
    settle(nowSeconds, onFound) {
      settleBefore(nowSeconds);
      for (const candidate of settled) onFound(acquisitionOf(candidate));
      settled = [];
    },
    get openSeconds() {
      return best?.sighting.startSeconds ?? Number.POSITIVE_INFINITY;
    },
  };
}

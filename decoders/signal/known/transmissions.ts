import type { Acquisition } from '../types.ts';
import type { Likeness } from './refine-sighting.ts';
import type { Sighting } from './search.ts';
import type { KnownBeacon } from './types.ts';

/** Keying at random scores so much once in ten million independent places. */
const LEAST_SCORE = 5.2;
/** What holds of one half of the pattern only is another signal, or another place of this one. */
const LEAST_HALF = 2.2;
/** A transmission at 1 dB Eb/N0 puts a third more into its tones than noise does. */
const LEAST_EXCESS = 0.12;

/**
 * Agreement that goes with each clarity: between the points straight lines. The clearer the keying, the less of it may go
 * against the pattern; below the first clarity both tones stand at once, which is no keying at all. The points lie below
 * what 95 % of transmissions at 1, 3, 6 and 10 dB show.
 */
const LEAST_AGREEMENT: readonly (readonly [clarity: number, agreement: number])[] = [
  [0.3, 0.36],
  [0.36, 0.36],
  [0.41, 0.48],
  [0.46, 0.64],
  [0.54, 0.76],
];

/** Where a transmission has begun no other begins before so much of it is over. */
const LEAST_APART = 0.8;

/** Whether keying is that of the beacon: neither noise nor something else that is keyed. */
function isTransmission({ score, excess, likeness }: Sighting): boolean {
  if (likeness === null || score < LEAST_SCORE || excess < LEAST_EXCESS) return false;
  return likeness.weakerHalf >= LEAST_HALF && agrees(likeness);
}

function agrees({ clarity, agreement }: Likeness): boolean {
  if (clarity < LEAST_AGREEMENT[0][0]) return false;
  const next = LEAST_AGREEMENT.findIndex(([at]) => at > clarity);
  if (next < 0) return agreement >= LEAST_AGREEMENT[LEAST_AGREEMENT.length - 1][1];
  const [x0, y0] = LEAST_AGREEMENT[next - 1];
  const [x1, y1] = LEAST_AGREEMENT[next];
  return agreement >= y0 + ((y1 - y0) * (clarity - x0)) / (x1 - x0);
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
  let best: Sighting | null = null;
  let settled: Sighting[] = [];

  function acquisitionOf(sighting: Sighting): Acquisition {
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
    };
  }

  return {
    add(sighting) {
      if (!isTransmission(sighting)) return;
      if (best !== null && isOver(best, sighting.startSeconds)) {
        settled.push(best);
        best = null;
      }
      if (best === null || sighting.score > best.score) best = sighting;
    },
    settle(nowSeconds, onFound) {
      if (best !== null && isOver(best, nowSeconds)) {
        settled.push(best);
        best = null;
      }
      for (const sighting of settled) onFound(acquisitionOf(sighting));
      settled = [];
    },
    get openSeconds() {
      return best?.startSeconds ?? Number.POSITIVE_INFINITY;
    },
  };
}

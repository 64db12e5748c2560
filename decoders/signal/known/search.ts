import { WORKING_RATE_HZ } from '../decimate.ts';
import { createBand } from './band.ts';
import { patternTaps, scoreOnGrid, strengthOnGrid } from './pattern-taps.ts';
import { type Likeness, refinePlace } from './refine-sighting.ts';
import { createToneGrid, ROWS_PER_ELEMENT } from './tone-grid.ts';
import type { KnownBeacon } from './types.ts';

/** A place where a transmission of a known beacon may begin. */
export interface Sighting {
  readonly startSeconds: number;
  /** Index of the pattern. */
  readonly pattern: number;
  /** Of both tones from their stated places. */
  readonly offsetHz: number;
  /** How well the keying follows the pattern, in standard deviations of keying at random. */
  readonly score: number;
  /** Measured where the score called for a closer look. */
  readonly likeness: Likeness | null;
  /** Energy in the tones over what white noise would put there, less one. */
  readonly excess: number;
  /** Eb/N0 that goes with the excess, as a ratio. */
  readonly ebN0: number;
  /** Mean keying as the pattern's data elements call for it, and as its start and stop elements do; alike where it is the beacon. */
  readonly literal: number;
  readonly startStop: number;
}

/** What tells the better of two sightings of one signal: side lobes key as clearly as the tones themselves, with less energy. */
export function merit({ score, excess }: Sighting): number {
  return score * (1 + excess);
}

/** Receivers and senders are off by up to so much together. */
const MOST_OFFSET_HZ = 50;
/** Steps of the offset in parts of the speed: half a step off loses 7 % of the energy. */
const OFFSET_STEP = 0.3;
/** Of the tones' energy over noise, for a look at the keying. */
const LEAST_EXCESS = 0.07;
/** Of the strongest offset's excess: what has less is its side lobe. */
const ECHO_EXCESS = 0.3;
const LEAST_SCORE = 2.2;
/** Scores from here on are worth a closer look, the best of a stretch of starts only: the rest are their echoes. */
const REFINED_SCORE = 3.2;
const MOST_REFINED = 3;
/** Sightings of a stretch of starts, best first, that are reported. */
const MOST_KEPT = 24;
/** Samples taken in at once. */
const PIECE = 2048;

export interface KnownSearch {
  /** Feeds samples at the working rate; reports what begins in a stretch of starts once all of it has been heard. */
  push(samples: Float32Array, onSighting: (sighting: Sighting) => void): void;
  end(onSighting: (sighting: Sighting) => void): void;
  /** Whatever begins before this has been reported. */
  readonly lookedSeconds: number;
}

export function createKnownSearch(beacon: KnownBeacon): KnownSearch {
  const { baud, stopElements, markHz, spaceHz, patterns } = beacon;
  const elementSeconds = 1 / baud;
  const rowSeconds = elementSeconds / ROWS_PER_ELEMENT;
  const characterElements = 6 + stopElements;
  const centreHz = (markHz + spaceHz) / 2;
  const tones: readonly [number, number] = [markHz - centreHz, spaceHz - centreHz];
  const characterRows = ROWS_PER_ELEMENT * characterElements;
  const lengths = patterns.map(({ characters }) => characters);
  const longest = Math.ceil(characterRows * Math.max(...lengths)) + ROWS_PER_ELEMENT;
  const shortest = Math.floor(characterRows * Math.min(...lengths));
  const hop = Math.ceil(longest / 2);
  const keptSeconds = (longest + hop + 8 * ROWS_PER_ELEMENT) * rowSeconds + (2 * PIECE) / WORKING_RATE_HZ;
  const band = createBand(centreHz, Math.abs(markHz - spaceHz) / 2 + MOST_OFFSET_HZ + 1.5 * baud, keptSeconds);
  const steps = Math.ceil((2 * MOST_OFFSET_HZ) / (OFFSET_STEP * baud));
  const stepHz = (2 * MOST_OFFSET_HZ) / steps;
  const offsetsHz = Float64Array.from({ length: steps + 1 }, (_, i) => i * stepHz - MOST_OFFSET_HZ);
  const grid = createToneGrid(band, baud, tones, offsetsHz, keptSeconds);
  const taps = patterns.map((pattern) => patternTaps(pattern, characterElements));
  const tapRows = taps.map(({ elements }) => Int32Array.from(elements, (at) => Math.round(ROWS_PER_ELEMENT * at)));
  const excess = Array.from(offsetsHz, () => new Float64Array(hop));
  const needed = new Float64Array(hop);
  const scores = new Float64Array(hop);
  let looked = 0;

  /** Looks at the starts in rows `first`..`first + hop - 1`. */
  function look(first: number, onSighting: (sighting: Sighting) => void): void {
    needed.fill(LEAST_EXCESS);
    for (let offset = 0; offset <= steps; offset++) {
      grid.excess(offset, first, shortest, excess[offset]);
      for (let i = 0; i < hop; i++) needed[i] = Math.max(needed[i], ECHO_EXCESS * excess[offset][i]);
    }
    const seen: Sighting[] = [];
    for (let offset = 0; offset <= steps; offset++) {
      if (excess[offset].some((here, i) => here >= needed[i])) scan(offset, first, seen);
    }
    const kept: Sighting[] = [];
    for (const sighting of seen.sort((a, b) => merit(b) - merit(a))) {
      if (kept.some((other) => isSame(other, sighting))) continue;
      const isClear = sighting.score >= REFINED_SCORE && kept.length < MOST_REFINED;
      kept.push(isClear ? closer(sighting) : sighting);
    }
    kept.length = Math.min(kept.length, MOST_KEPT);
    kept.sort((a, b) => a.startSeconds - b.startSeconds);
    for (const sighting of kept) onSighting(sighting);
  }

  function isSame(a: Sighting, b: Sighting): boolean {
    return Math.abs(a.startSeconds - b.startSeconds) < elementSeconds && Math.abs(a.offsetHz - b.offsetHz) < 0.7 * baud;
  }

  /** Adds those of the rows from `first` on with the energy needed at which the keying follows a pattern best. */
  function scan(offset: number, first: number, seen: Sighting[]): void {
    const keying = grid.keying[offset];
    for (let pattern = 0; pattern < taps.length; pattern++) {
      const { weights } = taps[pattern];
      for (let i = 0; i < hop; i++) {
        const isOpen = excess[offset][i] >= needed[i];
        scores[i] = isOpen ? scoreOnGrid(keying, grid.mask, first + i, tapRows[pattern], weights) : 0;
      }
      for (let i = 0; i < hop; i++) {
        const score = scores[i];
        if (score < LEAST_SCORE || (i > 0 && scores[i - 1] > score) || (i + 1 < hop && scores[i + 1] >= score))
          continue;
        const strength = (part: Float64Array) => strengthOnGrid(keying, grid.mask, first + i, tapRows[pattern], part);
        seen.push({
          startSeconds: (first + i) * rowSeconds,
          pattern,
          offsetHz: offsetsHz[offset],
          score,
          likeness: null,
          excess: excess[offset][i],
          ebN0: grid.ebN0Of(excess[offset][i]),
          literal: strength(taps[pattern].literal),
          startStop: strength(taps[pattern].startStop),
        });
      }
    }
  }

  function closer(sighting: Sighting): Sighting {
    const { pattern, startSeconds, offsetHz } = sighting;
    const { elements } = taps[pattern];
    const seconds = (elements[elements.length - 1] + 4) * elementSeconds;
    const first = Math.floor((startSeconds - elementSeconds) * band.rateHz);
    const baseband = band.slice(first, Math.ceil(seconds * band.rateHz));
    const refined = refinePlace(baseband, tones, elementSeconds, taps[pattern], { startSeconds, offsetHz }, stepHz);
    return { ...sighting, ...refined, score: refined.likeness.score };
  }

  function take(piece: Float32Array, onSighting: (sighting: Sighting) => void): void {
    band.push(piece);
    grid.update();
    while (grid.rows >= looked + hop + longest) {
      look(looked, onSighting);
      looked += hop;
    }
  }

  return {
    push(samples, onSighting) {
      for (let at = 0; at < samples.length; at += PIECE) take(samples.subarray(at, at + PIECE), onSighting);
    },
    end(onSighting) {
      const silence = new Float32Array(PIECE);
      const seconds = (longest + hop) * rowSeconds;
      for (let left = seconds * WORKING_RATE_HZ; left > 0; left -= PIECE) take(silence, onSighting);
    },
    get lookedSeconds() {
      // A closer look may move a start by an element.
      return looked * rowSeconds - elementSeconds;
    },
  };
}

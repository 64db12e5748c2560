import type { StopElements } from '../mission/types.ts';
import { WORKING_RATE_HZ } from './decimate.ts';
import { createToneSums, keying } from './envelopes.ts';
import { PER_ELEMENT } from './fold.ts';
import type { Kernel } from './kernel/kernel.ts';
import type { Hit, Suspect } from './measure.ts';
import { placeOf, type SampleRing } from './sample-ring.ts';

/*
 * Senders without a clock of their own (a hand on the keys, a busy computer) have no character rate to be found by, and
 * a dozen characters are too few for one. Strong ones are found as a start-stop machine would read them: wait for a
 * start element, look at the middle of the next six, wait again. So this needs a clear signal, and asks much of it.
 */

const FEWEST_CHARACTERS = 12;
const FEWEST_CODES = 5;
/** Notes played over and over look like the same few codes over and over; text does not. */
const MOST_REPEATED = 0.6;
const LONGEST_REPEAT = 8;
/** Share of characters whose stop element may be missing. */
const MOST_MISFRAMED = 0.05;
/** Mean |d| at the middle of the elements: clear reception. */
const LEAST_OPENNESS = 0.55;
/** Data elements must be as clear as start and stop: at a wrong speed they are not. */
const LEAST_DATA_RATIO = 0.88;
const STOP = 6;

export interface IrregularReading {
  readonly characters: number;
  /** Indices of the first start element and behind the last stop element. */
  readonly first: number;
  readonly end: number;
  readonly openness: number;
  /** Shortest usual distance of two starts, in elements. */
  readonly shortestElements: number;
}

/**
 * Reads keying values (`PER_ELEMENT` an element, positive = mark after `polarity`) as a start-stop machine does; null
 * when they are not clearly five-unit characters with rests in between.
 */
export function readIrregular(d: Float64Array, values: number, polarity: 1 | -1): IrregularReading | null {
  const starts: number[] = [];
  const codes: number[] = [];
  let misframed = 0;
  let frame = 0;
  let data = 0;
  const middle = PER_ELEMENT / 2;
  for (let n = 1; n < values; n++) {
    const before = polarity * d[n - 1];
    const here = polarity * d[n];
    if (!(before > 0 && here <= 0)) continue;
    // A value stands for the element that begins with it: half of the start has entered where the sign changes.
    const start = Math.round(n - 1 + before / (before - here)) + middle;
    const stop = start + STOP * PER_ELEMENT;
    if (stop >= values) break;
    if (polarity * d[stop] <= 0 || polarity * d[start] >= 0) {
      misframed++;
      continue;
    }
    frame += (Math.abs(d[start]) + Math.abs(d[stop])) / 2;
    let code = 0;
    for (let bit = 0; bit < 5; bit++) {
      const value = polarity * d[start + (bit + 1) * PER_ELEMENT];
      data += Math.abs(value) / 5;
      if (value > 0) code |= 1 << bit;
    }
    codes.push(code);
    starts.push(start);
    n = stop;
  }
  const characters = starts.length;
  if (characters < FEWEST_CHARACTERS || !isText(codes)) return null;
  if (misframed > MOST_MISFRAMED * characters) return null;
  if (shortRun(d, values) > LONGEST_SHORT_RUN) return null;
  const openness = (frame + data) / 2 / characters;
  if (openness < LEAST_OPENNESS || data < LEAST_DATA_RATIO * frame) return null;
  const steps = starts.slice(1).map((start, i) => (start - starts[i]) / PER_ELEMENT);
  steps.sort((a, b) => a - b);
  return {
    characters,
    first: starts[0],
    end: starts[characters - 1] + (STOP + 1) * PER_ELEMENT,
    openness,
    shortestElements: steps[Math.floor(steps.length / 20)],
  };
}

/** R and Y, sent in turn to tune in (common practice), are each other's complement: no music makes them. */
const R = 10;
const Y = 21;
const LEAST_ALTERNATING = 0.85;

function isText(codes: readonly number[]): boolean {
  let alternating = 0;
  for (let i = 1; i < codes.length; i++)
    if (codes[i] + codes[i - 1] === R + Y && (codes[i] === R || codes[i] === Y)) alternating++;
  if (alternating > LEAST_ALTERNATING * (codes.length - 1)) return true;
  return new Set(codes).size >= FEWEST_CODES && mostRepeated(codes) <= MOST_REPEATED;
}

/** Greatest share of codes that are those of 1 to 8 characters before. */
function mostRepeated(codes: readonly number[]): number {
  let most = 0;
  for (let lag = 1; lag <= LONGEST_REPEAT && lag < codes.length; lag++) {
    let same = 0;
    for (let i = lag; i < codes.length; i++) if (codes[i] === codes[i - lag]) same++;
    most = Math.max(most, same / (codes.length - lag));
  }
  return most;
}

/** At the right speed some elements stand alone; where none do, a slower sender is taken for a faster one. */
const LONGEST_SHORT_RUN = 1.5;

/** Length in elements that a tenth of all runs of one tone stay below. */
function shortRun(d: Float64Array, values: number): number {
  const runs: number[] = [];
  let from = 0;
  for (let n = 1; n < values; n++) {
    if (d[n] >= 0 === d[n - 1] >= 0) continue;
    runs.push((n - from) / PER_ELEMENT);
    from = n;
  }
  runs.sort((a, b) => a - b);
  return runs[Math.floor(runs.length / 10)] ?? Number.POSITIVE_INFINITY;
}

export interface IrregularMeasurer {
  measure(ring: SampleRing, suspect: Suspect, bauds: readonly number[]): Hit | undefined;
}

const MOST_SLOTS = 4096;

export function createIrregularMeasurer(kernel: Kernel): IrregularMeasurer {
  const low = createToneSums(MOST_SLOTS);
  const high = createToneSums(MOST_SLOTS);
  const d = new Float64Array(MOST_SLOTS);
  return {
    measure(ring, suspect, bauds) {
      let best: Hit | undefined;
      for (const near of placesOf(suspect)) {
        const hit = measureAt(ring, near, bauds);
        if (hit && hit.merit > (best?.merit ?? 0)) best = hit;
      }
      return best;
    },
  };

  function measureAt(ring: SampleRing, suspect: Suspect, bauds: readonly number[]): Hit | undefined {
    let best: Hit | undefined;
    const { startSample, endSample, lowHz, highHz, driftHzPerSecond } = suspect;
    const before = (endSample - startSample) / 2 / WORKING_RATE_HZ;
    const at = placeOf(ring, startSample);
    for (const baud of bauds) {
      const slot = WORKING_RATE_HZ / baud / PER_ELEMENT;
      const count = Math.min(MOST_SLOTS, Math.floor((endSample - startSample) / slot));
      kernel.correlateTones(ring.samples, { at, samples: slot, count, sampleRateHz: WORKING_RATE_HZ }, [
        { hz: lowHz - driftHzPerSecond * before, hzPerSecond: driftHzPerSecond, sums: low },
        { hz: highHz - driftHzPerSecond * before, hzPerSecond: driftHzPerSecond, sums: high },
      ]);
      const values = keying(high, low, count, PER_ELEMENT, d);
      for (const polarity of [1, -1] as const) {
        const reading = readIrregular(d, values, polarity);
        if (!reading || LESS_THAN_A_CLOCK * reading.openness <= (best?.merit ?? 0)) continue;
        best = hitOf(suspect, reading, baud, slot / WORKING_RATE_HZ, polarity);
      }
    }
    return best;
  }
}

/** Tones nearer than this show as one lobe, whose middle is only roughly theirs. */
const NEAR_HZ = 110;
const OFF_HZ = 9;

function placesOf(suspect: Suspect): readonly Suspect[] {
  if (suspect.highHz - suspect.lowHz > NEAR_HZ) return [suspect];
  return [0, -OFF_HZ, OFF_HZ].map((off) => ({
    ...suspect,
    lowHz: suspect.lowHz + off,
    highHz: suspect.highHz + off,
  }));
}

/** Below what any regular sender scores: where both readings offer, the clock decides. */
const SCORE = 5;
const LESS_THAN_A_CLOCK = 0.95;

function hitOf(suspect: Suspect, reading: IrregularReading, baud: number, slotSeconds: number, polarity: 1 | -1): Hit {
  const start = suspect.startSample / WORKING_RATE_HZ;
  const stopElements = stopOf(reading.shortestElements);
  return {
    startSeconds: start + reading.first * slotSeconds,
    endSeconds: start + reading.end * slotSeconds,
    middleSeconds: (suspect.startSample + suspect.endSample) / 2 / WORKING_RATE_HZ,
    baud,
    stopElements,
    markHz: polarity === 1 ? suspect.highHz : suspect.lowHz,
    spaceHz: polarity === 1 ? suspect.lowHz : suspect.highHz,
    driftHzPerSecond: suspect.driftHzPerSecond,
    characterPhaseSeconds: start + reading.first * slotSeconds,
    characterPeriodSeconds: (STOP + stopElements) / baud,
    score: SCORE,
    merit: LESS_THAN_A_CLOCK * reading.openness,
  };
}

/** Longest usual stop element that the shortest distances leave room for. */
function stopOf(shortestElements: number): StopElements {
  if (shortestElements > STOP + 1.9) return 2;
  return shortestElements > STOP + 1.4 ? 1.5 : 1;
}

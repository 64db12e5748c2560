import type { Fold } from './fold.ts';
import { PER_ELEMENT } from './fold.ts';

export const ELEMENTS = 7;

/** The seven elements of each character, soft, positive = mark; characters one after another. */
export interface SoftElements {
  readonly characters: number;
  readonly values: Float64Array;
}

/** Reads the characters of a fold out of the keying, between values where they fall there. */
export function readElements(d: Float64Array, count: number, fold: Fold): SoftElements {
  const before = Math.floor(fold.start / fold.period);
  const first = fold.start - before * fold.period;
  const span = (ELEMENTS - 1) * PER_ELEMENT;
  const characters = Math.max(0, Math.floor((count - 2 - span - first) / fold.period) + 1);
  const values = new Float64Array(ELEMENTS * characters);
  for (let c = 0; c < characters; c++) {
    for (let e = 0; e < ELEMENTS; e++) {
      const at = first + c * fold.period + e * PER_ELEMENT;
      const n = Math.floor(at);
      values[c * ELEMENTS + e] = fold.polarity * (d[n] + (at - n) * (d[n + 1] - d[n]));
    }
  }
  return { characters, values };
}

/** The run of characters whose start and stop elements are, in sum, what they should be: first, and one past the last. */
export function keyedRange({ characters, values }: SoftElements): [number, number] {
  let mean = 0;
  for (let c = 0; c < characters; c++) mean += framingOf(values, c) / characters;
  let sum = 0;
  let begin = 0;
  let best = Number.NEGATIVE_INFINITY;
  let range: [number, number] = [0, characters];
  for (let c = 0; c < characters; c++) {
    if (sum <= 0) {
      sum = 0;
      begin = c;
    }
    sum += framingOf(values, c) - mean / 2;
    if (sum > best) {
      best = sum;
      range = [begin, c + 1];
    }
  }
  return range;
}

const framingOf = (values: Float64Array, c: number): number => (values[c * ELEMENTS + 6] - values[c * ELEMENTS]) / 2;

/** What a run of characters looks like. */
export interface Look {
  readonly characters: number;
  /** Stop minus start elements, in standard deviations of what chance would give. */
  readonly z: number;
  /** Mean of what each element should be: space at starts, mark at stops, clear either way in between; 0..1. */
  readonly clarity: number;
  /** Mean |d| at the centres of elements: says how strong the signal is. */
  readonly openness: number;
  /** Share of start elements that are space plus share of stop elements that are mark, 0..2. */
  readonly framing: number;
  /** Mean |d| of data elements over that of start and stop elements. */
  readonly dataRatio: number;
  /** Share of data elements that differ from the same one of the character before. */
  readonly change: number;
  /** Greatest share of data elements that are those of 1 to 8 characters before. */
  readonly repeat: number;
  /** How well the characters fit the ones that senders repeat, -1..1. */
  readonly filler: number;
}

export function lookAt({ values }: SoftElements, from: number, to: number): Look {
  let frame = 0;
  let data = 0;
  let right = 0;
  let structure = 0;
  let squares = 0;
  for (let c = from; c < to; c++) {
    const at = c * ELEMENTS;
    frame += Math.abs(values[at]) + Math.abs(values[at + 6]);
    if (values[at] < 0) right++;
    if (values[at + 6] > 0) right++;
    for (let e = 1; e <= 5; e++) data += Math.abs(values[at + e]);
    for (let e = 0; e < ELEMENTS; e++) squares += values[at + e] * values[at + e];
    structure += values[at + 6] - values[at];
  }
  const characters = to - from;
  const deviation = Math.sqrt(squares / (ELEMENTS * characters));
  let repeat = 0;
  for (let lag = 1; lag <= 8; lag++) repeat = Math.max(repeat, sameShare(values, from, to, lag));
  return {
    characters,
    z: structure / (deviation * Math.sqrt(2 * characters)),
    clarity: (structure + data) / (ELEMENTS * characters),
    openness: (frame + data) / (ELEMENTS * characters),
    framing: right / characters,
    dataRatio: frame > 0 ? data / 5 / (frame / 2) : 0,
    change: 1 - sameShare(values, from, to, 1),
    repeat,
    filler: fillerFit(values, from, to) / data,
  };
}

function sameShare(values: Float64Array, from: number, to: number, lag: number): number {
  let same = 0;
  for (let c = from + lag; c < to; c++) {
    for (let e = 1; e <= 5; e++) {
      if (values[c * ELEMENTS + e] > 0 === values[(c - lag) * ELEMENTS + e] > 0) same++;
    }
  }
  return to - from > lag ? same / (5 * (to - from - lag)) : 0;
}

/** What senders repeat at length (ITU-T S.1 codes): digit 0, space, figures and letters shift, R, Y. */
const FILLERS = [22, 4, 27, 31, 10, 21];

function fillerFit(values: Float64Array, from: number, to: number): number {
  let fit = 0;
  for (let c = from; c < to; c++) {
    let best = Number.NEGATIVE_INFINITY;
    for (const code of FILLERS) {
      let match = 0;
      for (let e = 0; e < 5; e++)
        match += ((code >> e) & 1) === 1 ? values[c * ELEMENTS + 1 + e] : -values[c * ELEMENTS + 1 + e];
      best = Math.max(best, match);
    }
    fit += best;
  }
  return fit;
}

type Curve = readonly (readonly [number, number])[];

/**
 * Limits on the look of five-unit text against its openness. They tighten as the signal gets clearer: what rejects strong
 * foreign signals without losing weak bursts. Drawn about the 1 % and 99 % points of simulated bursts, 3 to 20 dB.
 */
const LEAST_OPENNESS = 0.31;
const LEAST_FRAMING: Curve = [
  [0.34, 1.53],
  [0.4, 1.58],
  [0.5, 1.68],
  [0.62, 1.86],
];
/** Noise must break some starts and stops where it dims the elements so far; a foreign rhythm need not. */
const MOST_FRAMING: Curve = [
  [0.31, 1.92],
  [0.35, 1.97],
  [0.39, 2],
];
const LEAST_DATA_RATIO: Curve = [
  [0.33, 0.74],
  [0.4, 0.8],
  [0.6, 0.89],
];
const MOST_DATA_RATIO: Curve = [
  [0.4, 1.3],
  [0.5, 1.25],
  [0.6, 1.16],
  [0.75, 1.12],
];
const LEAST_CHANGE: Curve = [
  [0.35, 0.38],
  [0.5, 0.3],
];
const MOST_CHANGE = 0.6;
const MOST_REPEAT: Curve = [
  [0.35, 0.7],
  [0.5, 0.8],
];
/** Text that repeats is believed when it repeats what senders do, as well as its openness lets it. */
const LEAST_FILLER: Curve = [
  [0.35, 0.86],
  [0.4, 0.91],
  [0.47, 0.95],
  [0.55, 0.97],
];
const LEAST_FILLER_FRAMING: Curve = [
  [0.33, 1.56],
  [0.41, 1.7],
  [0.47, 1.84],
  [0.6, 1.93],
];
const MOST_FILLER_FRAMING: Curve = [
  [0.31, 1.88],
  [0.35, 1.94],
  [0.39, 1.97],
  [0.42, 2],
];
/** Data elements that noise must have turned over: those off the rule of a repeated character, or of RYRY. */
const LEAST_FLIPS: Curve = [
  [0.33, 0.12],
  [0.37, 0.07],
  [0.41, 0.03],
  [0.45, 0],
];
/** Fewer characters are believed only when they are clear. */
const FEW = 20;
const FEWEST = 11;
const FEW_OPENNESS = 0.44;
const FEW_FRAMING = 1.85;
const FEW_FILLERS = 36;
const LEAST_Z = 5;
/** What z can reach is limited by the number of characters: sqrt(2 n) when all are perfect. */
const LEAST_Z_SHARE = 0.75;

/** Whether this is five-unit start-stop text and not something that merely has its rhythm. */
export function looksLikeText(look: Look): boolean {
  const { openness, framing, dataRatio } = look;
  return (
    isEnough(look) &&
    openness > LEAST_OPENNESS &&
    framing > along(LEAST_FRAMING, openness) &&
    framing <= along(MOST_FRAMING, openness) &&
    dataRatio > along(LEAST_DATA_RATIO, openness) &&
    dataRatio < along(MOST_DATA_RATIO, openness) &&
    (isVaried(look) || isFiller(look))
  );
}

function isEnough({ characters, z, openness, framing }: Look): boolean {
  if (characters < FEWEST) return false;
  if (characters < FEW && (openness < FEW_OPENNESS || framing < FEW_FRAMING)) return false;
  return z >= Math.min(LEAST_Z, LEAST_Z_SHARE * Math.sqrt(2 * characters));
}

const isVaried = ({ openness, change, repeat }: Look): boolean =>
  change > along(LEAST_CHANGE, openness) && change < MOST_CHANGE && repeat < along(MOST_REPEAT, openness);

const isFiller = ({ characters, openness, filler, framing, change }: Look): boolean =>
  (characters >= FEW_FILLERS || openness > FEW_OPENNESS) &&
  filler > along(LEAST_FILLER, openness) &&
  framing > along(LEAST_FILLER_FRAMING, openness) &&
  framing <= along(MOST_FILLER_FRAMING, openness) &&
  Math.min(change, 1 - change) >= along(LEAST_FLIPS, openness);

/** Straight lines between points, level beyond the ends. */
function along(curve: Curve, x: number): number {
  if (x <= curve[0][0]) return curve[0][1];
  for (let i = 1; i < curve.length; i++) {
    const [x1, y1] = curve[i];
    const [x0, y0] = curve[i - 1];
    if (x <= x1) return y0 + ((x - x0) / (x1 - x0)) * (y1 - y0);
  }
  return curve[curve.length - 1][1];
}

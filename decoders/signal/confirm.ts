import type { Fold } from './fold.ts';
import { PER_ELEMENT } from './fold.ts';

/** The seven elements of each character, soft, positive = mark; characters one after another. */
export interface SoftElements {
  readonly characters: number;
  readonly values: Float64Array;
}

export const ELEMENTS = 7;

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

/** What a stretch of characters looks like. */
export interface Look {
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
}

export function lookAt({ values }: SoftElements, from: number, to: number): Look {
  let frame = 0;
  let data = 0;
  let right = 0;
  for (let c = from; c < to; c++) {
    const at = c * ELEMENTS;
    frame += Math.abs(values[at]) + Math.abs(values[at + 6]);
    if (values[at] < 0) right++;
    if (values[at + 6] > 0) right++;
    for (let e = 1; e <= 5; e++) data += Math.abs(values[at + e]);
  }
  const characters = to - from;
  let repeat = 0;
  for (let lag = 1; lag <= 8; lag++) repeat = Math.max(repeat, sameShare(values, from, to, lag));
  return {
    openness: (frame + data) / (ELEMENTS * characters),
    framing: right / characters,
    dataRatio: frame > 0 ? data / 5 / (frame / 2) : 0,
    change: 1 - sameShare(values, from, to, 1),
    repeat,
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

type Curve = readonly (readonly [number, number])[];

/** Limits that tighten with the signal's strength: what rejects strong foreign signals without losing weak bursts. */
const LEAST_OPENNESS = 0.31;
const LEAST_FRAMING: Curve = [
  [0.34, 1.53],
  [0.4, 1.58],
  [0.7, 1.9],
];
const LEAST_DATA_RATIO: Curve = [
  [0.33, 0.74],
  [0.4, 0.8],
  [0.6, 0.89],
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

/** Whether this is five-unit start-stop text and not something that merely has its rhythm. */
export function looksLikeText(look: Look): boolean {
  const { openness } = look;
  return (
    openness > LEAST_OPENNESS &&
    look.framing > along(LEAST_FRAMING, openness) &&
    look.dataRatio > along(LEAST_DATA_RATIO, openness) &&
    look.change > along(LEAST_CHANGE, openness) &&
    look.change < MOST_CHANGE &&
    look.repeat < along(MOST_REPEAT, openness)
  );
}

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

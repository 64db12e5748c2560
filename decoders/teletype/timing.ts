/**
 * Start-stop timing of a whole burst by dynamic programming over time: every grid point may be the start of a
 * character, rest (idle mark), or outside of the burst; the most likely path through all of it is taken at once, so a
 * character whose start element is lost in noise still falls into place between its neighbours.
 */

/** Grid steps in one element. */
export const STEPS_PER_ELEMENT = 22;

export interface TimingEvidence {
  /** Log-likelihood of mark against noise for the element starting at each grid point. */
  readonly mark: Float64Array;
  /** The same for space. */
  readonly space: Float64Array;
  /**
   * Log-likelihood of rest (mark) for each grid step, from short windows about it: element-long ones would smear a
   * start element into the rest around it.
   */
  readonly rest: Float64Array;
  readonly count: number;
}

export interface TimingModel {
  /** Regular distance of characters, in grid steps. */
  readonly characterSteps: number;
}

export interface TimingPath {
  /** Grid index of each character's start element, ascending. */
  readonly starts: Float64Array;
  /** 1 where the character followed its predecessor at the regular distance. */
  readonly regular: Uint8Array;
  /** Log-likelihood of the path over "outside" everywhere. */
  readonly evidence: number;
}

const SLIP_PENALTY = [6, 3, 0, 3, 6];
const MOST_SLIP = 2;
const IDLE_PENALTY = 14;
const EDGE_PENALTY = 14;
const SHORTEST_CHARACTER = 7 * STEPS_PER_ELEMENT;

const FROM_OUTSIDE = -1;
const FROM_IDLE = -2;
const NO_CHARACTER = -1;

export function findTiming(evidence: TimingEvidence, model: TimingModel): TimingPath {
  const { count } = evidence;
  const steps = Math.round(model.characterSteps);
  if (tables.start.length <= count) tables = createTables(count + 1);
  const { either, sums, character, unstructured, rest, start, startFrom, idle, idleFrom, outside, outsideFrom } =
    tables;
  weighEither(evidence, either);
  weighCharacters(evidence, either, character);
  weighUnstructured(either, count, sums, unstructured);
  sumRest(evidence, rest);
  idle[0] = Number.NEGATIVE_INFINITY;
  idleFrom[0] = NO_CHARACTER;
  outside[0] = 0;
  outsideFrom[0] = NO_CHARACTER;
  let baseline = 0;
  for (let g = 0; g <= count; g++) {
    if (g > 0) {
      const apart = unstructured[g - 1];
      baseline += apart;
      outside[g] = outside[g - 1] + apart;
      outsideFrom[g] = outsideFrom[g - 1];
      idle[g] = idle[g - 1] + rest[g] - rest[g - 1];
      idleFrom[g] = idleFrom[g - 1];
    }
    const ended = g - SHORTEST_CHARACTER;
    if (ended >= 0) {
      const score = start[ended] + character[ended];
      if (score - EDGE_PENALTY > outside[g]) {
        outside[g] = score - EDGE_PENALTY;
        outsideFrom[g] = ended;
      }
      if (score - IDLE_PENALTY > idle[g]) {
        idle[g] = score - IDLE_PENALTY;
        idleFrom[g] = ended;
      }
    }
    if (outside[g] - EDGE_PENALTY > idle[g]) {
      idle[g] = outside[g] - EDGE_PENALTY;
      idleFrom[g] = outsideFrom[g];
    } else if (idle[g] - EDGE_PENALTY > outside[g]) {
      outside[g] = idle[g] - EDGE_PENALTY;
      outsideFrom[g] = idleFrom[g];
    }
    let best = outside[g] - EDGE_PENALTY;
    let from = FROM_OUTSIDE;
    if (idle[g] > best) {
      best = idle[g];
      from = FROM_IDLE;
    }
    for (let d = -MOST_SLIP; d <= MOST_SLIP; d++) {
      const p = g - steps + d;
      if (p < 0) continue;
      const stop = p + SHORTEST_CHARACTER;
      const score = start[p] + character[p] + (g > stop ? rest[g] - rest[stop] : 0) - SLIP_PENALTY[d + MOST_SLIP];
      if (score > best) {
        best = score;
        from = p;
      }
    }
    start[g] = best;
    startFrom[g] = from;
  }
  return trace(count, baseline);
}

/** One value a grid point, and one more. */
interface Tables {
  readonly either: Float64Array;
  readonly sums: Float64Array;
  readonly character: Float64Array;
  readonly unstructured: Float64Array;
  readonly rest: Float64Array;
  /** A character may start here: best score so far, and where it came from (a grid index, or outside, or idle). */
  readonly start: Float64Array;
  readonly startFrom: Int32Array;
  readonly idle: Float64Array;
  readonly idleFrom: Int32Array;
  readonly outside: Float64Array;
  readonly outsideFrom: Int32Array;
}

/** Kept from burst to burst: fresh memory for each would cost more than what is done with it. */
let tables = createTables(0);

function createTables(length: number): Tables {
  return {
    either: new Float64Array(length),
    sums: new Float64Array(length),
    character: new Float64Array(length),
    unstructured: new Float64Array(length),
    rest: new Float64Array(length),
    start: new Float64Array(length),
    startFrom: new Int32Array(length),
    idle: new Float64Array(length),
    idleFrom: new Int32Array(length),
    outside: new Float64Array(length),
    outsideFrom: new Int32Array(length),
  };
}

function trace(count: number, baseline: number): TimingPath {
  // The recording may end outside, at rest, or within the last character's stop.
  let score = tables.outside[count];
  let at = tables.outsideFrom[count];
  if (tables.idle[count] > score) {
    score = tables.idle[count];
    at = tables.idleFrom[count];
  }
  for (let g = Math.max(0, count - SHORTEST_CHARACTER); g < count - (SHORTEST_CHARACTER - STEPS_PER_ELEMENT); g++) {
    const ending = tables.start[g] + tables.character[g];
    if (ending > score) {
      score = ending;
      at = g;
    }
  }
  const starts: number[] = [];
  const regular: number[] = [];
  while (at >= 0) {
    starts.push(at);
    const from = tables.startFrom[at];
    regular.push(from >= 0 ? 1 : 0);
    at = from >= 0 ? from : from === FROM_IDLE ? tables.idleFrom[at] : tables.outsideFrom[at];
  }
  return {
    starts: Float64Array.from(starts.reverse()),
    regular: Uint8Array.from(regular.reverse()),
    evidence: score - baseline,
  };
}

/** Evidence of an element that may be mark or space. */
function weighEither({ mark, space, count }: TimingEvidence, out: Float64Array): void {
  for (let g = 0; g < count; g++) out[g] = logAverage(mark[g], space[g]);
}

/** Evidence of one character starting at each grid point: space, five of either, mark. */
export function characterEvidence(evidence: TimingEvidence): Float64Array {
  const either = new Float64Array(evidence.count);
  const out = new Float64Array(evidence.count + 1);
  weighEither(evidence, either);
  weighCharacters(evidence, either, out);
  return out;
}

function weighCharacters({ mark, space, count }: TimingEvidence, either: Float64Array, out: Float64Array): void {
  out.fill(Number.NEGATIVE_INFINITY, Math.max(0, count - 6 * STEPS_PER_ELEMENT), count + 1);
  const s = STEPS_PER_ELEMENT;
  for (let g = 0; g + 6 * s < count; g++) {
    out[g] =
      space[g] +
      either[g + s] +
      either[g + 2 * s] +
      either[g + 3 * s] +
      either[g + 4 * s] +
      either[g + 5 * s] +
      mark[g + 6 * s];
  }
}

/** Evidence of rest (mark) summed from the first grid point. */
function sumRest({ rest, count }: TimingEvidence, out: Float64Array): void {
  out[0] = 0;
  for (let g = 0; g < count; g++) out[g + 1] = out[g] + rest[g];
}

/** Unstructured keying is told from noise over so many elements: point by point, noise would always look a bit keyed. */
const ELEMENTS_TO_TELL = 12;
/** Rest is measured by short windows that lose an eighth at its borders; nothing unstructured may look better than it. */
const UNSTRUCTURED_SHARE = 0.75;

/** Evidence a grid step of anything without start-stop structure: noise, or tones keyed at random. */
function weighUnstructured(either: Float64Array, count: number, sums: Float64Array, out: Float64Array): void {
  sums[0] = 0;
  for (let g = 0; g < count; g++) sums[g + 1] = sums[g] + either[g];
  const half = (ELEMENTS_TO_TELL * STEPS_PER_ELEMENT) / 2;
  for (let g = 0; g < count; g++) {
    const from = Math.max(0, g - half);
    const to = Math.min(count, g + half);
    out[g] = (UNSTRUCTURED_SHARE * Math.max(0, (sums[to] - sums[from]) / (to - from))) / STEPS_PER_ELEMENT;
  }
}

function logAverage(a: number, b: number): number {
  const high = Math.max(a, b);
  return high + Math.log1p(Math.exp(-Math.abs(a - b))) - Math.LN2;
}

/**
 * Start-stop machines keep time better than any single character shows it: where characters follow each other
 * regularly and lie near a straight line, the line replaces their measured starts.
 */
export function straighten(path: TimingPath): Float64Array {
  const starts = path.starts.slice();
  let from = 0;
  for (let i = 1; i <= starts.length; i++) {
    if (i < starts.length && path.regular[i]) continue;
    if (i - from >= FEWEST_IN_LINE) straightenRun(starts, from, i);
    from = i;
  }
  return starts;
}

/**
 * Fills short holes in a path (a fade, a click, a voice over the signal) with characters at the regular distance, so
 * that what comes after stays the right number of characters away from what came before.
 */
export function fillHoles(path: TimingPath, characterSteps: number): TimingPath {
  const starts: number[] = [];
  const regular: number[] = [];
  for (let i = 0; i < path.starts.length; i++) {
    const start = path.starts[i];
    const previous = starts[starts.length - 1];
    const missing = Math.round((start - previous) / characterSteps) - 1;
    const offBeat = Math.abs(start - previous - (missing + 1) * characterSteps);
    const hole = !path.regular[i] && missing >= 1 && missing <= MOST_FILLED && offBeat < HOLE_SLIP;
    for (let k = 1; hole && k <= missing; k++) {
      starts.push(previous + (k * (start - previous)) / (missing + 1));
      regular.push(1);
    }
    starts.push(start);
    regular.push(hole ? 1 : path.regular[i]);
  }
  return { ...path, starts: Float64Array.from(starts), regular: Uint8Array.from(regular) };
}

const MOST_FILLED = 30;
const HOLE_SLIP = 0.4 * STEPS_PER_ELEMENT;

const FEWEST_IN_LINE = 6;
const LARGEST_RESIDUAL = 0.3 * STEPS_PER_ELEMENT;

function straightenRun(starts: Float64Array, from: number, to: number): void {
  const n = to - from;
  const middle = (n - 1) / 2;
  let mean = 0;
  let slope = 0;
  for (let i = 0; i < n; i++) {
    mean += starts[from + i] / n;
    slope += (i - middle) * starts[from + i];
  }
  slope /= (n * (n * n - 1)) / 12;
  for (let i = 0; i < n; i++) {
    if (Math.abs(starts[from + i] - mean - slope * (i - middle)) > LARGEST_RESIDUAL) return;
  }
  for (let i = 0; i < n; i++) starts[from + i] = mean + slope * (i - middle);
}

import { characterEvidence, STEPS_PER_ELEMENT, type TimingEvidence, type TimingPath } from './timing.ts';

/** A character lies on the clock within this, grid steps. */
const ON_CLOCK = 0.3 * STEPS_PER_ELEMENT;
/** So many characters in a row, each at the regular distance, show a clock. */
const FEWEST_IN_LINE = 8;
/** Share of a path's characters that its clock must hold. */
const LEAST_SHARE = 0.6;
/** A path found in noise looks better than the clock by about so much for each of its characters; a sender that paused by far more. */
const NATS_OFF_CLOCK = 4;
const NATS_ALLOWED = 14;
/** What a character costs that a fade took away. */
const NATS_LOST = 3;
/** Longer pauses are the sender's own. */
const LONGEST_HOLE = 30;

/**
 * A machine's clock runs on through a fade, in which the path found in the signal alone strays, loses characters or invents some.
 * Where most characters lie on one clock, and the others are no better placed than on it, all are: those lost too, so that
 * what comes after a fade keeps its place. Null where no such clock is borne out.
 */
export function layOnClock(path: TimingPath, evidence: TimingEvidence, characterSteps: number): TimingPath | null {
  const { starts } = path;
  const line = longestLine(path, characterSteps);
  if (!line) return null;
  const clock = fitted(starts, line);
  const indexes = Int32Array.from(starts, (start) => Math.round((start - clock.first) / clock.steps));
  const isOn = (i: number) => Math.abs(starts[i] - clock.first - indexes[i] * clock.steps) < ON_CLOCK;
  const on = Array.from(indexes.keys()).filter(isOn);
  if (on.length === starts.length || on.length < LEAST_SHARE * starts.length) return null;
  if (on.some((i, n) => n > 0 && indexes[i] - indexes[on[n - 1]] > LONGEST_HOLE)) return null;
  const from = indexes[on[0]];
  const laid = Float64Array.from(
    { length: indexes[on[on.length - 1]] - from + 1 },
    (_, k) => clock.first + (from + k) * clock.steps,
  );
  const isBefore = (start: number) => start < laid[0] - ON_CLOCK;
  const isAfter = (start: number) => start > laid[laid.length - 1] + ON_CLOCK;
  const within = Array.from(starts).filter((start) => !isBefore(start) && !isAfter(start));
  const characters = characterEvidence(evidence);
  const score = (at: Iterable<number>) => {
    let sum = 0;
    for (const start of at) {
      sum += Math.max(-NATS_LOST, characters[Math.min(evidence.count, Math.max(0, Math.round(start)))]);
    }
    return sum;
  };
  const off = within.length - on.length;
  if (score(laid) < score(within) - NATS_ALLOWED - NATS_OFF_CLOCK * off) return null;
  const before = Array.from(starts.keys()).filter((i) => isBefore(starts[i]));
  const after = Array.from(starts.keys()).filter((i) => isAfter(starts[i]));
  const kept = (indices: readonly number[]) => indices.map((i) => starts[i]);
  const keptRegular = (indices: readonly number[]) => indices.map((i) => path.regular[i]);
  return {
    ...path,
    starts: Float64Array.from([...kept(before), ...laid, ...kept(after)]),
    regular: Uint8Array.from([
      ...keptRegular(before),
      ...Array.from(laid, (_, k) => Number(k > 0)),
      ...keptRegular(after),
    ]),
  };
}

interface Line {
  readonly first: number;
  readonly steps: number;
}

/** The longest run of characters at the regular distance, as a line; null where none is long enough. */
function longestLine({ starts, regular }: TimingPath, characterSteps: number): Line | null {
  let longest = { from: 0, to: 0 };
  for (let from = 0, i = 1; i <= starts.length; i++) {
    if (i < starts.length && regular[i] === 1) continue;
    if (i - from > longest.to - longest.from) longest = { from, to: i };
    from = i;
  }
  const count = longest.to - longest.from;
  if (count < FEWEST_IN_LINE) return null;
  return {
    first: starts[longest.from],
    steps: (starts[longest.to - 1] - starts[longest.from]) / (count - 1) || characterSteps,
  };
}

/** The line through all characters near it, reaching out from where it is known. */
function fitted(starts: Float64Array, line: Line): Line {
  let { first, steps } = line;
  for (let round = 0; round < 4; round++) {
    let count = 0;
    let sumK = 0;
    let sumT = 0;
    let sumKK = 0;
    let sumKT = 0;
    for (const start of starts) {
      const k = Math.round((start - first) / steps);
      if (Math.abs(start - first - k * steps) > ON_CLOCK) continue;
      count++;
      sumK += k;
      sumT += start;
      sumKK += k * k;
      sumKT += k * start;
    }
    const spread = sumKK - (sumK * sumK) / count;
    if (count < 2 || spread <= 0) break;
    steps = (sumKT - (sumK * sumT) / count) / spread;
    first = (sumT - steps * sumK) / count;
  }
  return { first, steps };
}

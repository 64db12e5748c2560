import type { Sighting } from './search.ts';

/** A beacon that was heard over and over at its interval, however faintly. */
export interface Presence {
  /** Offset of both tones from their stated places. */
  readonly offsetHz: number;
  /** Mean over the transmissions. */
  readonly ebN0Db: number;
  /** Transmissions that were made out. */
  readonly transmissions: number;
  readonly firstSeconds: number;
  readonly lastSeconds: number;
  readonly intervalSeconds: number;
  /** Probability that chance shows as much anywhere in such a stretch of time. */
  readonly falseAlarmProbability: number;
}

/** The interval that a beacon keeps may differ from the stated one by so much. */
const INTERVAL_TOLERANCE = 0.01;
/** Each transmission begins within this of where the interval puts it. */
const WINDOW_SECONDS = 0.2;
/** Offsets of one beacon's sightings differ by no more than this, in parts of its speed. */
const OFFSET_TOLERANCE = 0.45;
/** Sightings beyond this rank among those of one interval are left out. */
const MOST_RANK = 20;
/** Of a window that holds one of the sightings that count. */
const MOST_CHANCE = 0.4;
/** Intervals between the two sightings that a sequence is laid through. */
const MOST_APART = 2;
/** What data elements show of the pattern must be so much of what start and stop elements show. */
const LEAST_LITERAL = 0.65;

/** Nothing is claimed beyond this, however long the row of sightings. */
const LEAST_FALSE_ALARM = 1e-6;

/** A sighting with the probability that a window of chance, a place in its interval taken at random, holds one as good. */
interface Ranked extends Sighting {
  readonly chance: number;
}

/**
 * Looks for a beacon's interval among sightings, none of which need be sure. Levels and noise play no part: a sighting
 * counts by its rank among all those of the interval around it, and ranks are what they are in any noise. With a window w
 * in an interval I, the best of them falls into the window by chance with probability w / I, one of the best two with
 * 2 w / I.
 *
 * @param sightings by their start.
 */
export function findPresence(
  sightings: readonly Sighting[],
  statedIntervalSeconds: number,
  baud: number,
  fromSeconds: number,
  toSeconds: number,
): Presence | null {
  const search: IntervalSearch = {
    ranked: rank(sightings, statedIntervalSeconds, OFFSET_TOLERANCE * baud),
    statedIntervalSeconds,
    toleranceHz: OFFSET_TOLERANCE * baud,
    fromSeconds,
    toSeconds,
  };
  const { ranked, toleranceHz } = search;
  let best: Sequence | null = null;
  let pairs = 0;
  for (let i = 0; i < ranked.length; i++) {
    for (let j = i + 1; j < ranked.length; j++) {
      const apart = ranked[j].startSeconds - ranked[i].startSeconds;
      if (apart > MOST_APART * statedIntervalSeconds * (1 + INTERVAL_TOLERANCE)) break;
      const count = Math.round(apart / statedIntervalSeconds);
      if (count === 0 || Math.abs(apart / (count * statedIntervalSeconds) - 1) > INTERVAL_TOLERANCE) continue;
      if (Math.abs(ranked[i].offsetHz - ranked[j].offsetHz) > toleranceHz) continue;
      pairs++;
      const sequence = follow(search, ranked[i], ranked[j], count);
      if (saysLiterals(sequence.members) && (best === null || sequence.chance < best.chance)) best = sequence;
    }
  }
  if (best === null) return null;
  const { members, intervalSeconds, chance } = best;
  const starts = members.map(({ startSeconds }) => startSeconds);
  const mean = (of: (each: Ranked) => number) => members.reduce((sum, each) => sum + of(each), 0) / members.length;
  return {
    offsetHz: mean(({ offsetHz }) => offsetHz),
    ebN0Db: 10 * Math.log10(mean(({ ebN0 }) => ebN0)),
    transmissions: members.length,
    firstSeconds: Math.min(...starts),
    lastSeconds: Math.max(...starts),
    intervalSeconds,
    falseAlarmProbability: Math.max(LEAST_FALSE_ALARM, Math.min(1, pairs * chance)),
  };
}

interface IntervalSearch {
  /** By their start. */
  readonly ranked: readonly Ranked[];
  readonly statedIntervalSeconds: number;
  readonly toleranceHz: number;
  readonly fromSeconds: number;
  readonly toSeconds: number;
}

/** Sightings at one interval, and the probability that chance adds to two of them what the others say. */
interface Sequence {
  readonly members: readonly Ranked[];
  readonly intervalSeconds: number;
  readonly chance: number;
}

/** Keeps sightings that are among the best of their interval. */
function rank(sightings: readonly Sighting[], intervalSeconds: number, toleranceHz: number): Ranked[] {
  const mostRank = mostRankIn(intervalSeconds);
  const ranked: Ranked[] = [];
  let from = 0;
  for (const sighting of sightings) {
    while (sightings[from].startSeconds < sighting.startSeconds - intervalSeconds / 2) from++;
    let better = 0;
    for (let k = from; k < sightings.length && better < mostRank; k++) {
      const other = sightings[k];
      if (other.startSeconds > sighting.startSeconds + intervalSeconds / 2) break;
      if (other.score > sighting.score && Math.abs(other.offsetHz - sighting.offsetHz) < toleranceHz) better++;
    }
    if (better < mostRank) ranked.push({ ...sighting, chance: ((better + 1) * WINDOW_SECONDS) / intervalSeconds });
  }
  return ranked;
}

function mostRankIn(intervalSeconds: number): number {
  return Math.max(1, Math.min(MOST_RANK, Math.floor((MOST_CHANCE * intervalSeconds) / WINDOW_SECONDS)));
}

/** The sightings in the windows that the interval of two of them calls for, `count` intervals apart. */
function follow(search: IntervalSearch, one: Ranked, other: Ranked, count: number): Sequence {
  const { ranked, statedIntervalSeconds, toleranceHz, fromSeconds, toSeconds } = search;
  const intervalSeconds = (other.startSeconds - one.startSeconds) / count;
  const offsetHz = (one.offsetHz + other.offsetHz) / 2;
  const mostRank = mostRankIn(statedIntervalSeconds);
  const members = [one, other];
  let information = 0;
  let windows = 0;
  let chances = 0;
  const first = Math.ceil((fromSeconds - one.startSeconds) / intervalSeconds);
  for (let k = first; one.startSeconds + k * intervalSeconds <= toSeconds; k++) {
    if (k === 0 || k === count) continue;
    const middle = one.startSeconds + k * intervalSeconds;
    const end = middle + statedIntervalSeconds / 2;
    let near = 0;
    let hit: Ranked | null = null;
    for (let n = firstFrom(ranked, middle - statedIntervalSeconds / 2); n < ranked.length; n++) {
      const each = ranked[n];
      if (each.startSeconds > end) break;
      if (Math.abs(each.offsetHz - offsetHz) > toleranceHz) continue;
      near++;
      const isInside = Math.abs(each.startSeconds - middle) <= WINDOW_SECONDS / 2;
      if (isInside && (hit === null || each.chance < hit.chance)) hit = each;
    }
    windows++;
    chances += (Math.min(near, mostRank) * WINDOW_SECONDS) / statedIntervalSeconds;
    if (hit === null) continue;
    members.push(hit);
    information -= Math.log(hit.chance);
  }
  const chance = windows > 0 ? chanceOf(information, windows, chances / windows) : 1;
  return { members, intervalSeconds, chance };
}

function firstFrom(ranked: readonly Ranked[], seconds: number): number {
  let low = 0;
  let high = ranked.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (ranked[middle].startSeconds < seconds) low = middle + 1;
    else high = middle;
  }
  return low;
}

/** Another sender's start and stop elements look alike, its text does not. */
function saysLiterals(members: readonly Sighting[]): boolean {
  let literal = 0;
  let startStop = 0;
  for (const member of members) {
    literal += member.literal;
    startStop += member.startStop;
  }
  return literal > LEAST_LITERAL * startStop;
}

/**
 * Probability that chance gives at least so much information (nats) in all windows together: in each one a sighting lies
 * with probability `most`, its chance then uniform below that. The hits are binomial; the information of m of them is
 * m ln(1 / most) and the sum of m exponential variables, a gamma variable (Fisher's method of joining significances).
 */
function chanceOf(information: number, windows: number, most: number): number {
  if (information <= 0) return 1;
  let total = 0;
  let ways = (1 - most) ** windows;
  for (let hits = 0; hits <= windows; hits++) {
    if (hits > 0) total += ways * gammaTail(hits, information + hits * Math.log(most));
    ways *= ((windows - hits) / (hits + 1)) * (most / (1 - most));
  }
  return total;
}

/** Probability that the sum of `count` exponential variables is at least x. */
function gammaTail(count: number, x: number): number {
  if (x <= 0) return 1;
  let term = 1;
  let sum = 0;
  for (let k = 0; k < count; k++) {
    sum += term;
    term *= x / (k + 1);
  }
  return sum * Math.exp(-x);
}

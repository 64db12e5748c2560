import type { Hit } from './measure.ts';
import type { Acquisition } from './types.ts';

/** Hits of one burst, put together. */
interface Stretch {
  readonly startSeconds: number;
  readonly endSeconds: number;
  readonly best: Hit;
  readonly last: Hit;
  /** Stream time from which on nothing can be added any more. */
  readonly settledSeconds: number;
}

export interface Stretches {
  /** `gapSeconds`: longest pause after which a hit like this still belongs to the burst before it. */
  add(hit: Hit, nowSeconds: number, gapSeconds: number): void;
  /** Whether these tones have been found already in nearly all of this time. */
  covers(startSeconds: number, endSeconds: number, lowHz: number, highHz: number): boolean;
  /** Reports, in order of their start, the stretches that nothing can be added to any more. */
  settle(nowSeconds: number, onFound: (found: Acquisition) => void): void;
  /** Where the earliest stretch begins that something can be added to; infinity when there is none. */
  readonly openSeconds: number;
}

const SURE_SCORE = 6.2;

/** @param patienceSeconds how long after a hit another window may still see more of its burst, or see it better. */
export function createStretches(patienceSeconds: number): Stretches {
  let open: Stretch[] = [];
  return {
    add(hit, nowSeconds, gapSeconds) {
      const { startSeconds, endSeconds } = hit;
      const settledSeconds = nowSeconds + patienceSeconds;
      let joined: Stretch = { startSeconds, endSeconds, best: hit, last: hit, settledSeconds };
      const others: Stretch[] = [];
      for (const stretch of open) {
        if (continues(stretch, joined, gapSeconds)) joined = join(stretch, joined);
        else if (competes(stretch, joined)) joined = strongerOf(stretch, joined);
        else others.push(stretch);
      }
      open = [...others, joined];
    },
    covers(startSeconds, endSeconds, lowHz, highHz) {
      const middle = (startSeconds + endSeconds) / 2;
      return open.some(({ last, best, startSeconds: from, endSeconds: to }) => {
        if (best.score < SURE_SCORE) return false;
        const common = Math.min(to, endSeconds) - Math.max(from, startSeconds);
        const moved = last.driftHzPerSecond * (middle - last.middleSeconds);
        const low = Math.min(last.markHz, last.spaceHz) + moved;
        const high = Math.max(last.markHz, last.spaceHz) + moved;
        const near = last.baud / 2;
        return (
          common > 0.85 * (endSeconds - startSeconds) && Math.abs(low - lowHz) < near && Math.abs(high - highHz) < near
        );
      });
    },
    settle(nowSeconds, onFound) {
      const settled = open.filter((stretch) => stretch.settledSeconds <= nowSeconds);
      if (settled.length === 0) return;
      open = open.filter((stretch) => stretch.settledSeconds > nowSeconds);
      settled.sort((a, b) => a.startSeconds - b.startSeconds);
      for (const stretch of settled) onFound(acquisitionOf(stretch));
    },
    get openSeconds() {
      return Math.min(...open.map(({ startSeconds }) => startSeconds));
    },
  };
}

/** Whether `later` goes on where `earlier` was, or fills it. */
function continues(earlier: Stretch, later: Stretch, gapSeconds: number): boolean {
  const gap = Math.max(earlier.startSeconds, later.startSeconds) - Math.min(earlier.endSeconds, later.endSeconds);
  return gap < gapSeconds && (sameTones(earlier.last, later.last) || sameTones(earlier.best, later.best));
}

/** Whether two stretches are rival readings of one signal: much of the same time and of the same band. */
function competes(a: Stretch, b: Stretch): boolean {
  const common = Math.min(a.endSeconds, b.endSeconds) - Math.max(a.startSeconds, b.startSeconds);
  const shorter = Math.min(a.endSeconds - a.startSeconds, b.endSeconds - b.startSeconds);
  return common > 0.4 * shorter && bandsMeet(a.last, b.last);
}

function bandsMeet(a: Hit, b: Hit): boolean {
  const moved = a.driftHzPerSecond * (b.middleSeconds - a.middleSeconds);
  const low = Math.max(Math.min(a.markHz, a.spaceHz) + moved - a.baud / 2, Math.min(b.markHz, b.spaceHz) - b.baud / 2);
  const high = Math.min(Math.max(a.markHz, a.spaceHz) + moved + a.baud / 2, Math.max(b.markHz, b.spaceHz) + b.baud / 2);
  return low < high;
}

function join(a: Stretch, b: Stretch): Stretch {
  return {
    startSeconds: Math.min(a.startSeconds, b.startSeconds),
    endSeconds: Math.max(a.endSeconds, b.endSeconds),
    best: worth(b.best) > worth(a.best) ? b.best : a.best,
    last: b.last.middleSeconds >= a.last.middleSeconds ? b.last : a.last,
    settledSeconds: Math.max(a.settledSeconds, b.settledSeconds),
  };
}

const strongerOf = (a: Stretch, b: Stretch): Stretch => ({
  ...(worth(b.best) > worth(a.best) ? b : a),
  settledSeconds: Math.max(a.settledSeconds, b.settledSeconds),
});

/** How well a hit explains the signal: clarity counts more than length, of which a wrong speed may see as much. */
const worth = (hit: Hit): number => hit.score * hit.merit ** 2;

function sameTones(a: Hit, b: Hit): boolean {
  const moved = a.driftHzPerSecond * (b.middleSeconds - a.middleSeconds);
  const room = 0.5 * a.baud + 4 * Math.abs(b.middleSeconds - a.middleSeconds);
  return (
    Math.abs(a.baud / b.baud - 1) < 0.03 &&
    Math.abs(a.markHz + moved - b.markHz) < room &&
    Math.abs(a.spaceHz + moved - b.spaceHz) < room
  );
}

function acquisitionOf({ startSeconds, endSeconds, best }: Stretch): Acquisition {
  const { middleSeconds, merit: _, ...parameters } = best;
  const moved = best.driftHzPerSecond * ((startSeconds + endSeconds) / 2 - middleSeconds);
  return {
    ...parameters,
    markHz: best.markHz + moved,
    spaceHz: best.spaceHz + moved,
    startSeconds,
    endSeconds,
  };
}

import type { Hit } from './measure.ts';
import type { Acquisition } from './types.ts';

/** Hits of one burst, put together. */
interface Stretch {
  startSeconds: number;
  endSeconds: number;
  best: Hit;
  last: Hit;
  /** Stream time from which on nothing can be added any more. */
  settledSeconds: number;
}

export interface Stretches {
  /** `windowSeconds`: length of the window of the hit; the next ones may still add to its stretch. */
  add(hit: Hit, nowSeconds: number, windowSeconds: number): void;
  /** Whether these tones have been found already in nearly all of this time. */
  covers(startSeconds: number, endSeconds: number, lowHz: number, highHz: number): boolean;
  /** Reports, in order of their start, the stretches that nothing can be added to any more. */
  settle(nowSeconds: number, onFound: (found: Acquisition) => void): void;
}

const SURE_SCORE = 6.2;

export function createStretches(): Stretches {
  let open: Stretch[] = [];
  return {
    add(hit, nowSeconds, windowSeconds) {
      const settledSeconds = nowSeconds + windowSeconds;
      const rivals = open.filter((stretch) => competes(stretch, hit, windowSeconds));
      const stretch = rivals.find(({ last, best }) => sameTones(last, hit) || sameTones(best, hit)) ?? rivals[0];
      if (stretch === undefined) {
        const { startSeconds, endSeconds } = hit;
        open.push({ startSeconds, endSeconds, best: hit, last: hit, settledSeconds });
        return;
      }
      stretch.settledSeconds = Math.max(stretch.settledSeconds, settledSeconds);
      if (sameTones(stretch.last, hit) || sameTones(stretch.best, hit)) {
        stretch.startSeconds = Math.min(stretch.startSeconds, hit.startSeconds);
        stretch.endSeconds = Math.max(stretch.endSeconds, hit.endSeconds);
        stretch.last = hit;
      }
      if (hit.score > stretch.best.score) stretch.best = hit;
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
  };
}

/** Whether stretch and hit cannot both be bursts of their own. */
function competes(stretch: Stretch, hit: Hit, windowSeconds: number): boolean {
  const common = Math.min(stretch.endSeconds, hit.endSeconds) - Math.max(stretch.startSeconds, hit.startSeconds);
  if (sameTones(stretch.last, hit) || sameTones(stretch.best, hit)) return common > -windowSeconds / 2;
  return common > 0.4 * Math.min(hit.endSeconds - hit.startSeconds, stretch.endSeconds - stretch.startSeconds);
}

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
  const { middleSeconds, ...parameters } = best;
  const moved = best.driftHzPerSecond * ((startSeconds + endSeconds) / 2 - middleSeconds);
  return {
    ...parameters,
    markHz: best.markHz + moved,
    spaceHz: best.spaceHz + moved,
    startSeconds,
    endSeconds,
  };
}

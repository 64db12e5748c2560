import { findPresence, type Presence } from './presence.ts';
import type { Sighting } from './search.ts';

/** What a satellite's pass lasts at most (common practice for low orbits), and the intervals that make a beacon out. */
const PASS_SECONDS = 600;
const PASS_INTERVALS = 12;
const LONGEST_SECONDS = 3600;
/** What is to be left out of a stretch is known so long after it. */
const LAG_SECONDS = 120;
/** A stretch of noise alone seems to hold a beacon more seldom than this. */
const MOST_FALSE_ALARM = 1e-3;

/** Watches a stream of sightings of any length for a beacon's interval. Memory is bounded. */
export interface PresenceWatch {
  /** Takes sightings, those of one search. */
  add(sighting: Sighting): void;
  /** Leaves out what was sighted in this stretch of time: it was somebody else. */
  exclude(fromSeconds: number, toSeconds: number): void;
  /** The surest presence in the stream, which ends here; null where there is none. */
  end(endSeconds: number): Presence | null;
}

export function createPresenceWatch(intervalSeconds: number, baud: number): PresenceWatch {
  const stretchSeconds = Math.min(LONGEST_SECONDS, Math.max(PASS_SECONDS, PASS_INTERVALS * intervalSeconds));
  let sightings: Sighting[] = [];
  let excluded: { readonly fromSeconds: number; readonly toSeconds: number }[] = [];
  let fromSeconds = 0;
  let looks = 0;
  let best: Presence | null = null;

  function look(toSeconds: number): void {
    const isOwn = ({ startSeconds }: Sighting) =>
      startSeconds < toSeconds &&
      !excluded.some((each) => startSeconds > each.fromSeconds && startSeconds < each.toSeconds);
    const own = sightings.filter(isOwn).sort((a, b) => a.startSeconds - b.startSeconds);
    const found = findPresence(own, intervalSeconds, baud, fromSeconds, toSeconds);
    looks++;
    if (found && (best === null || found.falseAlarmProbability < best.falseAlarmProbability)) best = found;
  }

  return {
    add(sighting) {
      while (sighting.startSeconds > fromSeconds + stretchSeconds + LAG_SECONDS) {
        look(fromSeconds + stretchSeconds);
        fromSeconds += stretchSeconds / 2;
        sightings = sightings.filter(({ startSeconds }) => startSeconds >= fromSeconds);
        excluded = excluded.filter(({ toSeconds }) => toSeconds >= fromSeconds);
      }
      sightings.push(sighting);
    },
    exclude(from, to) {
      excluded.push({ fromSeconds: from, toSeconds: to });
    },
    end(endSeconds) {
      look(endSeconds);
      if (best === null) return null;
      const falseAlarmProbability = Math.min(1, looks * best.falseAlarmProbability);
      return best.falseAlarmProbability < MOST_FALSE_ALARM ? { ...best, falseAlarmProbability } : null;
    },
  };
}

import type { Acquisition } from '../signal/types.ts';

/** How far the searches have come: all that begins before these times has been reported. */
export interface SearchProgress {
  readonly blindSeconds: number;
  readonly knownSeconds: number;
}

/** A stretch that is at most so much longer than the transmission found in it holds nothing else. */
const MOST_LENGTHENING = 1.5;
/** Hz/s: the search for what is known holds its tones still, and finds faster ones only with half of their signal. */
const MOST_DRIFT = 5;

/**
 * What two searches found, each burst once: where a known transmission is all that a blind stretch holds, its sender's own
 * speed and tones count; where the stretch holds more, or drifts, the stretch counts.
 */
export class AcquiredBursts {
  private readonly blind: Acquisition[] = [];
  private known: Acquisition[] = [];

  addBlind(found: Acquisition): void {
    this.blind.push(found);
  }

  addKnown(found: Acquisition): void {
    this.known.push(found);
  }

  /** Takes out what ended before `endedSeconds` and no search can add to any more, in order of its beginning. */
  take(endedSeconds: number, { blindSeconds, knownSeconds }: SearchProgress): Acquisition[] {
    const ready: Acquisition[] = [];
    for (let i = 0; i < this.blind.length; ) {
      const stretch = this.blind[i];
      if (stretch.endSeconds > endedSeconds || stretch.endSeconds > knownSeconds) {
        i++;
        continue;
      }
      this.blind.splice(i, 1);
      const inside = this.takeKnown((each) => isSame(each, stretch));
      const best = strongest(inside.filter(({ isFaint }) => !isFaint));
      const isAll = best !== null && lengthOf(stretch) <= MOST_LENGTHENING * lengthOf(best);
      ready.push(isAll && Math.abs(stretch.driftHzPerSecond) <= MOST_DRIFT ? best : stretch);
    }
    const isReady = (each: Acquisition) =>
      each.endSeconds <= endedSeconds &&
      each.endSeconds <= Math.min(blindSeconds, knownSeconds) &&
      !this.blind.some((stretch) => isSame(each, stretch));
    for (let each = this.known.find(isReady); each !== undefined; each = this.known.find(isReady)) {
      // Another beacon's search may have seen the same.
      const first = each;
      const best = strongest(this.takeKnown((other) => isSame(first, other)));
      if (best) ready.push(best);
    }
    return ready.sort((a, b) => a.startSeconds - b.startSeconds);
  }

  private takeKnown(isWanted: (each: Acquisition) => boolean): Acquisition[] {
    const taken = this.known.filter(isWanted);
    this.known = this.known.filter((each) => !taken.includes(each));
    return taken;
  }
}

function strongest(found: readonly Acquisition[]): Acquisition | null {
  return found.reduce<Acquisition | null>((best, each) => (best && best.score >= each.score ? best : each), null);
}

/** Whether two acquisitions are of one signal: they share most of the shorter's time, and of the narrower's band. */
function isSame(a: Acquisition, b: Acquisition): boolean {
  const common = Math.min(a.endSeconds, b.endSeconds) - Math.max(a.startSeconds, b.startSeconds);
  const commonHz = Math.min(highOf(a), highOf(b)) - Math.max(lowOf(a), lowOf(b));
  const narrower = Math.min(highOf(a) - lowOf(a), highOf(b) - lowOf(b));
  return common > 0.5 * Math.min(lengthOf(a), lengthOf(b)) && commonHz > 0.5 * narrower;
}

const lengthOf = ({ startSeconds, endSeconds }: Acquisition): number => endSeconds - startSeconds;
const lowOf = ({ markHz, spaceHz }: Acquisition): number => Math.min(markHz, spaceHz);
const highOf = ({ markHz, spaceHz }: Acquisition): number => Math.max(markHz, spaceHz);

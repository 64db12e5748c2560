import type { Burst } from '../../decoders/teletype/types.ts';
import type { Stretch } from './cutter.ts';

/** Heard before and after a burst. */
const MARGIN_SECONDS = 1;

/** What of a recording is heard with a burst. */
export interface Audible extends Stretch {
  /** Parts of it that are silenced. */
  readonly silences: readonly Stretch[];
}

/**
 * What of a recording goes with a burst. Those who may see all of it hear the burst with what is around it; others hear
 * what is under its frames, and what is around the burst only where a frame begins or ends it: text that fits no layout is
 * other people's, whether printed or heard. Null where nothing is theirs to hear.
 *
 * @param between where the burst before it ends and the one after it begins: nobody hears those with this one.
 * @param visible slots under the frames that may be seen; undefined for all of the burst.
 */
export function audibleWith(burst: Burst, between: Stretch, visible?: ReadonlySet<number>): Audible | null {
  const { soft, characters } = burst;
  const around = {
    startSeconds: Math.max(burst.startSeconds - MARGIN_SECONDS, Math.min(between.startSeconds, burst.startSeconds)),
    endSeconds: Math.min(burst.endSeconds + MARGIN_SECONDS, Math.max(between.endSeconds, burst.endSeconds)),
  };
  if (visible === undefined) return { ...around, silences: [] };
  if (visible.size === 0) return null;
  const [first, last] = [Math.min(...visible), Math.max(...visible)];
  const hidden = characters.filter(({ slot }) => !visible.has(slot)).map(({ slot }) => slot);
  return {
    startSeconds: hidden.some((slot) => slot < first) ? soft.startSeconds[first] : around.startSeconds,
    endSeconds: hidden.some((slot) => slot > last) ? soft.startSeconds[last + 1] : around.endSeconds,
    silences: hidden
      .filter((slot) => slot > first && slot < last)
      .map((slot) => ({ startSeconds: soft.startSeconds[slot], endSeconds: soft.startSeconds[slot + 1] })),
  };
}

/** Where bursts leave room for each of them: from the end of those before it to the beginning of the next. */
export function roomsBetween(bursts: readonly Burst[], endSeconds: number): Stretch[] {
  let heardUntil = 0;
  return bursts.map((burst, i) => {
    const startSeconds = heardUntil;
    heardUntil = Math.max(heardUntil, burst.endSeconds);
    return { startSeconds, endSeconds: Math.min(endSeconds, bursts[i + 1]?.startSeconds ?? endSeconds) };
  });
}

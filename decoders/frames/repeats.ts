import type { Mission } from '../mission/types.ts';
import type { SoftCharacters } from '../teletype/types.ts';
import { OTHER_REPETITION } from './accept.ts';
import { type CombinedFrame, combine, type FrameCopy } from './combine.ts';
import { SLACK_SLOTS } from './copies/align.ts';
import type { MatchedFrame, MatchOptions } from './match.ts';

/** Most slots between one repetition and the next: line ends and shifts. */
const MOST_BETWEEN = 8;

/** A stretch of a burst that holds a repetition, or may; `found` where a frame was found in it. */
interface Part {
  readonly copy: FrameCopy;
  readonly found: MatchedFrame | null;
}

/**
 * Makes one frame of those that a sender repeats: frames in a row of a layout with `repeats` that hold the same text.
 * Where fewer were found than were sent, the stretches before and after are tried too.
 *
 * @param frames of one burst, in the order sent; those of other layouts stay as they are.
 */
export function combineRepeats(
  frames: readonly MatchedFrame[],
  soft: SoftCharacters,
  missions: readonly Mission[],
  options: MatchOptions = {},
): MatchedFrame[] {
  const combined: MatchedFrame[] = [];
  let left = frames;
  while (left.length > 0) {
    const [first] = left;
    const parts = partsFrom(left, frames, soft);
    const copies = parts.map(({ copy }) => copy);
    const one = combine(copies, missions, { ...options, otherTransmission: OTHER_REPETITION });
    const members = parts.filter((_, i) => one && isMember(one, i)).map(({ found }) => found);
    if (one) combined.push(matched(one, parts, first.mission));
    if (!members.includes(first)) combined.push(first);
    left = left.filter((each) => each !== first && !members.includes(each));
  }
  return combined.sort((a, b) => a.fromSlot - b.fromSlot);
}

/** The first frame and those that may repeat it. */
function partsFrom(left: readonly MatchedFrame[], all: readonly MatchedFrame[], soft: SoftCharacters): Part[] {
  const [first] = left;
  const { repeats = 1 } = first.mission.frames.find(({ id }) => id === first.frame.frame) ?? {};
  const run = [first];
  for (const next of left.slice(1, repeats)) {
    const before = run[run.length - 1];
    const follows = next.fromSlot - before.toSlot <= MOST_BETWEEN;
    if (!follows || next.mission !== first.mission || next.frame.frame !== first.frame.frame) break;
    run.push(next);
  }
  const parts = run.map((found) => partOf(soft, found.fromSlot, found.toSlot, found));
  if (run.length >= repeats) return parts;
  const slots = Math.max(...run.map(({ fromSlot, toSlot }) => toSlot - fromSlot)) + MOST_BETWEEN;
  const from = first.fromSlot;
  const to = run[run.length - 1].toSlot;
  const freeFrom = Math.max(0, from - slots, ...all.map(({ toSlot }) => (toSlot <= from ? toSlot : 0)));
  const freeTo = Math.min(
    soft.count,
    to + slots,
    ...all.map(({ fromSlot }) => (fromSlot >= to ? fromSlot : soft.count)),
  );
  for (const [start, end] of [
    [freeFrom, from],
    [to, freeTo],
  ]) {
    if (end - start > 2 * SLACK_SLOTS) parts.push(partOf(soft, start, end, null));
  }
  return parts;
}

function partOf(soft: SoftCharacters, fromSlot: number, toSlot: number, found: MatchedFrame | null): Part {
  const alone = found && { mission: found.mission.id, frame: found.frame };
  return { copy: { soft, fromSlot, toSlot, ebN0Db: 0, station: '', alone }, found };
}

function isMember({ copies }: CombinedFrame, part: number): boolean {
  return copies[part].slots.length > 0;
}

function matched(one: CombinedFrame, parts: readonly Part[], mission: Mission): MatchedFrame {
  const { fromSlot, toSlot } = parts[one.lead].copy;
  const repetitions = parts.flatMap(({ copy }, i) =>
    isMember(one, i) ? [{ ...one.copies[i], alone: copy.alone?.frame ?? null }] : [],
  );
  return { mission, frame: one.frame, fromSlot, toSlot, repetitions };
}

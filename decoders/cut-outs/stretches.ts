import type { Burst } from '../teletype/types.ts';
import type { BurstStretch } from './types.ts';

/** Left before and after bursts, so that they are found again in their cut-out. */
const MARGIN_SECONDS = 2;
/** Bursts that follow each other closely stay together, as long as the stretch is no longer than this. */
const TOGETHER_SECONDS = 150;
/** No stretch is longer: bursts that are read in one piece are shorter than 200 s. */
export const LONGEST_CUT_OUT_SECONDS = 240;

/** A burst and the channel that it was read from. */
export interface HeardBurst {
  readonly burst: Burst;
  readonly channel: number;
}

/**
 * The stretches of a complex band that hold its bursts, each one by itself: each stands at a place of its own, and is made heard by
 * itself. Of what lies between bursts that follow each other closely each gets half.
 */
export function stretchesOfBand(bursts: readonly Burst[], seconds: number): BurstStretch[] {
  return [...bursts]
    .sort((a, b) => a.startSeconds - b.startSeconds)
    .map((burst) => {
      const { startSeconds, endSeconds } = burst;
      const endsBefore = bursts.map((other) => other.endSeconds).filter((end) => end <= startSeconds);
      const startsAfter = bursts.map((other) => other.startSeconds).filter((start) => start >= endSeconds);
      const roomBefore = (startSeconds - Math.max(Number.NEGATIVE_INFINITY, ...endsBefore)) / 2;
      const roomAfter = (Math.min(Number.POSITIVE_INFINITY, ...startsAfter) - endSeconds) / 2;
      return {
        channel: 0,
        startSeconds: Math.max(0, startSeconds - Math.min(MARGIN_SECONDS, roomBefore)),
        endSeconds: Math.min(seconds, endSeconds + Math.min(MARGIN_SECONDS, roomAfter)),
        bursts: [burst],
      };
    });
}

/**
 * The stretches of a recording that hold its bursts. Bursts of one channel that overlap, or between which there is no room
 * for the margins, share a stretch, so that no burst stands in two; those that would be too long together overlap.
 *
 * @param seconds length of the recording.
 */
export function stretchesOf(heard: readonly HeardBurst[], seconds: number): BurstStretch[] {
  const channels = [...new Set(heard.map(({ channel }) => channel))].sort((a, b) => a - b);
  const stretches = channels.flatMap((channel) =>
    stretchesOfChannel(
      channel,
      heard.filter((each) => each.channel === channel).map(({ burst }) => burst),
      seconds,
    ),
  );
  return stretches.sort((a, b) => a.startSeconds - b.startSeconds || a.channel - b.channel);
}

interface Group {
  readonly bursts: Burst[];
  readonly startSeconds: number;
  endSeconds: number;
}

function stretchesOfChannel(channel: number, bursts: readonly Burst[], seconds: number): BurstStretch[] {
  const groups: Group[] = [];
  for (const burst of [...bursts].sort((a, b) => a.startSeconds - b.startSeconds)) {
    const last = groups.at(-1);
    if (last !== undefined && belongsTo(last, burst)) {
      last.bursts.push(burst);
      last.endSeconds = Math.max(last.endSeconds, burst.endSeconds);
    } else {
      groups.push({ bursts: [burst], startSeconds: burst.startSeconds, endSeconds: burst.endSeconds });
    }
  }
  return groups.map((group, i) => {
    // Where groups stand close, each gets half of what is between them; where they overlap, each is whole without a margin.
    const before = i === 0 ? 0 : (groups[i - 1].endSeconds + group.startSeconds) / 2;
    const after = i === groups.length - 1 ? seconds : (group.endSeconds + groups[i + 1].startSeconds) / 2;
    return {
      channel,
      startSeconds: Math.max(0, Math.min(before, group.startSeconds), group.startSeconds - MARGIN_SECONDS),
      endSeconds: Math.min(seconds, Math.max(after, group.endSeconds), group.endSeconds + MARGIN_SECONDS),
      bursts: group.bursts,
    };
  });
}

function belongsTo(group: Group, burst: Burst): boolean {
  const together = Math.max(group.endSeconds, burst.endSeconds) - group.startSeconds;
  if (burst.startSeconds < group.endSeconds) return together <= LONGEST_CUT_OUT_SECONDS - 2 * MARGIN_SECONDS;
  return burst.startSeconds - group.endSeconds < 2 * MARGIN_SECONDS && together <= TOGETHER_SECONDS;
}

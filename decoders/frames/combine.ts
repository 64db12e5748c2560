import type { Mission } from '../mission/types.ts';
import { layoutsAt } from './compiled-mission.ts';
import { type AddedCopies, slotsAt } from './copies/added-copies.ts';
import type { Stretch } from './copies/align.ts';
import { type Gathered, gatherCopies, place } from './copies/gather.ts';
import { decideJointly, type JointOptions, type JointReading } from './copies/joint-decision.ts';
import type { AloneReading, CombinedCopy } from './copies/types.ts';
import { byTrust } from './trust.ts';
import type { DecodedFrame } from './types.ts';

/** A stretch of a burst in which one receiver heard a frame, or may have heard it. */
export interface FrameCopy extends Stretch {
  /** Energy of one element over the one-sided noise density. Of copies with the same noise the stronger counts. */
  readonly ebN0Db: number;
  /** Who heard it: copies of one station never bear each other out. */
  readonly station: string;
  /** What was read in it alone, by whatever means; null where nothing was. */
  readonly alone: AloneReading | null;
}

/** One transmission, read from all its copies. */
export interface CombinedFrame {
  /** Id of the mission. */
  readonly mission: string;
  /** Slots and seconds are those of the copy `lead`. */
  readonly frame: DecodedFrame;
  readonly lead: number;
  /** In the order given. */
  readonly copies: readonly CombinedCopy[];
}

/** Beyond these odds a copy is of another transmission; short of them it stays, and makes the frame doubtful. */
const CERTAINLY_OTHER = 1e3;

/**
 * Reads one frame from all copies of its transmission: those that belong together are laid upon each other and added,
 * and the sum is decided as one. Null when no two copies belong together, or nothing can be read in them.
 *
 * The posterior leaves room for each copy being of another transmission whose text differs little. A copy in which more
 * was read than its soft elements hold, through the sender's phase, is believed over the sum where its reading is
 * the better. Without a checksum a frame is confirmed when copies of two stations, each with noise of its own, give it
 * alone.
 *
 * @param copies two or more; their order plays no part.
 */
export function combine(
  copies: readonly FrameCopy[],
  missions: readonly Mission[],
  options: JointOptions = {},
): CombinedFrame | null {
  if (copies.length < 2) return null;
  const layouts = layoutsAt(missions, options.receivedAt ?? null);
  let gathered = gatherCopies([...copies].sort(clearestFirst), layouts);
  for (;;) {
    if (gathered.filter(({ shiftSeconds }) => shiftSeconds !== null).length < 2) return null;
    const members = gathered.filter(({ belonging }) => belonging === 'belongs');
    const { added, reading, odds } = decideJointly(members.map(memberOf), missions, options);
    if (odds.every((each) => each < CERTAINLY_OTHER)) return reading && combined(copies, gathered, added, reading);
    // The first copy is what the others are held against: when they contradict it, they are of another transmission.
    const worst = odds.indexOf(Math.max(...odds.slice(1)), 1);
    gathered = gathered.map((each) =>
      each === members[worst] ? { ...each, belonging: 'other-transmission', shiftSeconds: null } : each,
    );
  }
}

/** By what was read alone, then by whether a phase holds, then by level; ties are settled so that no order of arrival matters. */
function clearestFirst(a: FrameCopy, b: FrameCopy): number {
  const byReading = Number(b.alone !== null) - Number(a.alone !== null);
  if (byReading !== 0) return byReading;
  const trust = a.alone && b.alone ? byTrust(a.alone.frame.trust, b.alone.frame.trust) : 0;
  if (trust !== 0) return trust;
  const byPhase = Number(b.soft.coherent !== undefined) - Number(a.soft.coherent !== undefined);
  if (byPhase !== 0) return byPhase;
  if (a.ebN0Db !== b.ebN0Db) return b.ebN0Db - a.ebN0Db;
  if (a.station !== b.station) return a.station < b.station ? -1 : 1;
  return startOf(a) - startOf(b);
}

function startOf({ soft, fromSlot }: FrameCopy): number {
  return soft.startSeconds[fromSlot] ?? 0;
}

function memberOf({ copy, shiftSeconds }: Gathered<FrameCopy>) {
  return { placed: place(copy, shiftSeconds ?? 0), station: copy.station, alone: copy.alone };
}

interface Laid extends CombinedCopy {
  readonly shiftSeconds: number;
}

function combined(
  copies: readonly FrameCopy[],
  gathered: readonly Gathered<FrameCopy>[],
  added: AddedCopies,
  { mission, frame, at }: JointReading,
): CombinedFrame {
  const laid = new Map(gathered.map((each) => [each.copy, lay(each, added, at)]));
  const lead = fullest(laid);
  const { slots, shiftSeconds } = laid.get(lead) ?? NOWHERE;
  const last = lead.soft.count - 1;
  let under = slots.find((slot) => slot >= 0) ?? 0;
  return {
    mission,
    lead: copies.indexOf(lead),
    frame: {
      ...frame,
      startSeconds: frame.startSeconds - shiftSeconds,
      endSeconds: frame.endSeconds - shiftSeconds,
      characters: frame.characters.map((character, i) => {
        // What the clearest copy lacks stands at its edge.
        if (slots[i] >= 0) under = slots[i];
        return { ...character, slot: Math.min(under, last) };
      }),
    },
    copies: copies.map((copy) => {
      const { belonging, slots: own } = laid.get(copy) ?? NOWHERE;
      return { belonging, slots: own };
    }),
  };
}

const NOWHERE: Laid = { belonging: 'too-weak', slots: [], shiftSeconds: 0 };

function lay(
  { copy, belonging, shiftSeconds }: Gathered<FrameCopy>,
  { soft }: AddedCopies,
  at: readonly number[],
): Laid {
  if (shiftSeconds === null) return { belonging, slots: [], shiftSeconds: 0 };
  const slots = slotsAt(soft.startSeconds, place(copy, shiftSeconds));
  return { belonging, slots: at.map((place) => (place < 0 ? -1 : slots[place])), shiftSeconds };
}

/** The copy that belongs and holds most of the frame's characters; of several the clearest. */
function fullest(laid: ReadonlyMap<FrameCopy, Laid>): FrameCopy {
  const held = ({ belonging, slots }: Laid) =>
    belonging === 'belongs' ? slots.filter((slot) => slot >= 0).length : -1;
  const [first, ...others] = laid;
  return others.reduce((best, each) => (held(each[1]) > held(best[1]) ? each : best), first)[0];
}

import type { CoherentElements } from '../../teletype/types.ts';
import type { CompiledLayout } from '../compiled-mission.ts';
import { readTogether } from '../deep/read-together.ts';
import { SlotScores } from '../slot-scores.ts';
import type { DecodedFrame } from '../types.ts';
import { type AddedCopies, type Placed, slotsAt, summedElements } from './added-copies.ts';

/** Frames that begin within this (characters) of each other begin in the same slot. */
const SAME_SLOT = 0.4;

export interface CoherentReading {
  readonly layout: CompiledLayout;
  /** Seconds are those of the sum. */
  readonly frame: DecodedFrame;
  /** Slot of the sum under each character; -1 where it has none. */
  readonly at: readonly number[];
  /** What each copy's own signal says of the codes under the characters; null of a copy without a phase. */
  readonly said: readonly (SaidOfCharacters | null)[];
}

export interface SaidOfCharacters {
  readonly scores: SlotScores;
  /** Slot under each character. */
  readonly slots: readonly number[];
}

/**
 * Reads the frame of several copies through the phases that hold in them; copies without one count as likelihoods. Null when fewer
 * than one of them has a phase that holds through the same slots, or nothing can be read so.
 */
export function readCoherently(
  placed: readonly Placed[],
  { soft }: AddedCopies,
  layouts: readonly CompiledLayout[],
): CoherentReading | null {
  const chosen = mostAlike(placed);
  const first = chosen.find((each) => each !== null);
  if (!first) return null;
  const { startSeconds, characterSeconds, slots } = first;
  const times = Float64Array.from({ length: slots }, (_, slot) => startSeconds + slot * characterSeconds);
  const rest = placed.filter((_, i) => chosen[i] === null);
  const elementLlr =
    rest.length === 0
      ? null
      : summedElements(
          rest,
          rest.map((copy) => slotsAt(times, copy)),
        );
  const others = elementLlr && new SlotScores({ count: slots, startSeconds: times, elementLlr });
  const read = readTogether({
    coherent: chosen.filter((each) => each !== null),
    others: others && { count: slots, logLikelihoods: others.scores, random: new Float64Array(slots) },
    layouts,
  });
  if (!read) return null;
  const whole: Placed = { soft, fromSlot: 0, toSlot: soft.count, shiftSeconds: 0 };
  const inSum = slotsAt(times, whole);
  const { layout, frame } = read;
  const slotsUnder = frame.characters.map(({ slot }) => slot);
  const said = read.said.map((likelihoods) => ({ scores: new SlotScores(likelihoods), slots: slotsUnder }));
  return {
    layout,
    frame,
    at: slotsUnder.map((slot) => inSum[slot] ?? -1),
    said: chosen.map((each) => (each === null ? null : (said.shift() ?? null))),
  };
}

/** Of each copy the stretch with a phase that begins where those of most others do, on the clock of the sum; null where it has none. */
function mostAlike(placed: readonly Placed[]): (CoherentElements | null)[] {
  const stretches = placed.map(({ soft: { coherent = [] }, shiftSeconds }) =>
    coherent.map((each) => ({ ...each, startSeconds: each.startSeconds + shiftSeconds })),
  );
  const beside = ({ startSeconds, characterSeconds }: CoherentElements) =>
    stretches.map(
      (own) => own.find((each) => Math.abs(each.startSeconds - startSeconds) < SAME_SLOT * characterSeconds) ?? null,
    );
  const count = (chosen: readonly (CoherentElements | null)[]) => chosen.filter((each) => each !== null).length;
  return stretches
    .flat()
    .map(beside)
    .reduce(
      (best, each) => (count(each) > count(best) ? each : best),
      placed.map(() => null),
    );
}

import { ELEMENTS_PER_SLOT } from '../../teletype/soft-characters.ts';
import type { SoftCharacters } from '../../teletype/types.ts';
import type { CompiledLayout } from '../compiled-mission.ts';
import { bestSpan } from '../match.ts';
import type { Region } from '../scan.ts';
import { SlotScores } from '../slot-scores.ts';
import { logAdd, totalMass } from '../total-mass.ts';
import {
  type AddedCopies,
  addCopies,
  elementsAt,
  elementsByThemselves,
  type Placed,
  summedElements,
} from './added-copies.ts';
import { agreementNats, likelyPlaces, SLACK_SLOTS, type Stretch } from './align.ts';
import { noiseOrigin } from './common-noise.ts';
import type { Belonging } from './types.ts';

export interface Gathered<T extends Stretch> {
  readonly copy: T;
  readonly belonging: Belonging;
  /** Seconds to add to the copy's times to lay them on the first copy's; null where it has no place there. */
  readonly shiftSeconds: number | null;
}

/** Nats by which two copies must look more like one transmission than like two, to be added. */
const LEAST_LEAD = 7;

/**
 * Lays copies upon the first of them and says which belong to one transmission. A copy belongs when all the layouts
 * together explain it and what is gathered so far better by one frame than by two.
 *
 * @param copies the clearest first: of two with the same noise the earlier counts.
 */
export function gatherCopies<T extends Stretch>(
  copies: readonly T[],
  layouts: readonly CompiledLayout[],
): Gathered<T>[] {
  const [first, ...others] = copies;
  const gathered: Gathered<T>[] = [{ copy: first, belonging: 'belongs', shiftSeconds: 0 }];
  for (const copy of others) gathered.push(judge(gathered, copy, layouts));
  return gathered;
}

/** The copies that belong, as they are to be added. */
export function placedCopies<T extends Stretch>(gathered: readonly Gathered<T>[]): Placed[] {
  return gathered.flatMap(({ copy, belonging, shiftSeconds }) =>
    belonging === 'belongs' && shiftSeconds !== null ? [place(copy, shiftSeconds)] : [],
  );
}

/** A copy in its place, with the slots before and after in which the frame may have begun or gone on. */
export function place({ soft, fromSlot, toSlot }: Stretch, shiftSeconds: number): Placed {
  return {
    soft,
    fromSlot: Math.max(0, fromSlot - SLACK_SLOTS),
    toSlot: Math.min(soft.count, toSlot + SLACK_SLOTS),
    shiftSeconds,
  };
}

function judge<T extends Stretch>(
  gathered: readonly Gathered<T>[],
  copy: T,
  layouts: readonly CompiledLayout[],
): Gathered<T> {
  const placed = placedCopies(gathered);
  const sum = firstStretch(addCopies(placed), gathered[0].copy);
  let best: Joint | null = null;
  const { shiftsSeconds, tried } = likelyPlaces(sum, copy);
  for (const shiftSeconds of shiftsSeconds) {
    const joint = jointly(placed, place(copy, shiftSeconds), layouts);
    if (!best || joint.explained > best.explained) best = joint;
  }
  if (!best) return { copy, belonging: 'too-weak', shiftSeconds: null };
  const { added, shiftSeconds } = best;
  const leadNats = best.leadNats - Math.log(tried);
  const own = elementsByThemselves(copy.soft, added.slots[placed.length]);
  const twin = placed.some(({ soft }, i) => noiseOrigin(elementsByThemselves(soft, added.slots[i]), own) === 'same');
  if (twin) return { copy, belonging: 'same-noise', shiftSeconds };
  if (leadNats >= LEAST_LEAD) return { copy, belonging: 'belongs', shiftSeconds };
  return { copy, belonging: leadNats <= -LEAST_LEAD ? 'other-transmission' : 'too-weak', shiftSeconds: null };
}

/** The first copy's stretch among the slots of the sum. */
function firstStretch({ soft, slots }: AddedCopies, first: Stretch): Stretch {
  return { soft, fromSlot: slots[0].indexOf(first.fromSlot), toSlot: slots[0].indexOf(first.toSlot - 1) + 1 };
}

interface Joint {
  readonly added: AddedCopies;
  readonly shiftSeconds: number;
  /** ln evidence of one frame, over random codes in each copy. */
  readonly explained: number;
  /** The same over that of two frames, or of none. */
  readonly leadNats: number;
}

function jointly(placed: readonly Placed[], copy: Placed, layouts: readonly CompiledLayout[]): Joint {
  const added = addCopies([...placed, copy]);
  const own = elementsAt(copy.soft, added.slots[placed.length]);
  const before = summedElements(placed, added.slots);
  const { from, to, evidence } = frameIn(layouts, added.soft);
  // What stands beside the frame need not be the same in every copy.
  const within = (elements: Float32Array) => elements.subarray(from * ELEMENTS_PER_SLOT, to * ELEMENTS_PER_SLOT);
  const explained = agreementNats(within(before), within(own)) + evidence(added.soft.elementLlr);
  const apart = logAdd(0, evidence(before)) + logAdd(0, evidence(own));
  return { added, shiftSeconds: copy.shiftSeconds, explained, leadNats: explained - apart };
}

interface FrameEvidence {
  /** Slots that the frame takes as it shows best. */
  readonly from: number;
  readonly to: number;
  /** ln evidence that all layouts together give to elements there, over random codes. */
  readonly evidence: (elementLlr: Float32Array) => number;
}

/** Where a frame shows in what was added, whole or cut, and how elements are weighed for holding it. */
function frameIn(layouts: readonly CompiledLayout[], soft: SoftCharacters): FrameEvidence {
  const region: Region = { from: 0, to: soft.count, cutBefore: true, cutAfter: true };
  const scoresOf = (elementLlr: Float32Array) => new SlotScores({ ...soft, elementLlr });
  const { span } = bestSpan(layouts, scoresOf(soft.elementLlr), region) ?? {
    span: { from: 0, to: soft.count, startsWhole: true, endsWhole: true },
  };
  return {
    from: span.from,
    to: span.to,
    evidence: (elementLlr) => {
      const scores = scoresOf(elementLlr);
      const masses = layouts.map(({ graph }) => totalMass(graph, scores, region, span));
      return masses.reduce(logAdd, Number.NEGATIVE_INFINITY);
    },
  };
}

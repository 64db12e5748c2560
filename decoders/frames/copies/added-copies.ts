import { boundLlr, ELEMENTS_PER_SLOT } from '../../teletype/soft-characters.ts';
import type { SoftCharacters } from '../../teletype/types.ts';
import { elementsWithoutPhase } from '../deep/coherent-elements.ts';

/** A stretch of a burst on the clock of another. */
export interface Placed {
  readonly soft: SoftCharacters;
  /** The slots of `soft` that count. */
  readonly fromSlot: number;
  readonly toSlot: number;
  /** Seconds to add to the slots' times. */
  readonly shiftSeconds: number;
}

/** Copies side by side, slot under slot. */
export interface AddedCopies {
  /** The sum of the copies' soft elements, each bounded before: no copy outvotes the others. */
  readonly soft: SoftCharacters;
  /** For each copy, its slot at each slot of the sum; -1 where it has none. */
  readonly slots: readonly Int32Array[];
}

/**
 * Adds copies as log-likelihood ratios, which is exact for independent noise (Proakis, Digital Communications, noncoherent
 * square-law diversity). Slots go by their times: each joins the slot of the sum within half a character, and makes one of its own
 * where there is none.
 *
 * @param placed at least one; the first one's slots are the first of the sum.
 */
export function addCopies(placed: readonly Placed[]): AddedCopies {
  const near = slotSeconds(placed[0].soft) / 2;
  let starts: number[] = [];
  for (const copy of placed) starts = merged(starts, startsOf(copy), near);
  const slots = placed.map((copy) => slotsAt(starts, copy));
  const startSeconds = Float64Array.from(starts);
  return { soft: { count: starts.length, startSeconds, elementLlr: summedElements(placed, slots) }, slots };
}

/** The copies' elements, each bounded, added. */
export function summedElements(placed: readonly Pick<Placed, 'soft'>[], slots: readonly Int32Array[]): Float32Array {
  const sum = new Float32Array(slots[0].length * ELEMENTS_PER_SLOT);
  for (const [i, { soft }] of placed.entries()) {
    const elements = elementsAt(soft, slots[i]);
    for (let element = 0; element < sum.length; element++) sum[element] += boundLlr(elements[element]);
  }
  return sum;
}

/** The elements of one copy where the sum has them, as measured; 0 where it has none. */
export function elementsAt(soft: SoftCharacters, slots: Int32Array): Float32Array {
  const llr = new Float32Array(slots.length * ELEMENTS_PER_SLOT);
  for (let at = 0; at < slots.length; at++) {
    if (slots[at] < 0) continue;
    const from = slots[at] * ELEMENTS_PER_SLOT;
    llr.set(soft.elementLlr.subarray(from, from + ELEMENTS_PER_SLOT), at * ELEMENTS_PER_SLOT);
  }
  return llr;
}

/**
 * The same, each element by itself: where the phase around an element had its say, what the sender does to it is strong or weak alike
 * in all receptions, and is taken out.
 */
export function elementsByThemselves(soft: SoftCharacters, slots: Int32Array): Float32Array {
  const llr = elementsAt(soft, slots);
  for (const coherent of soft.coherent ?? []) {
    const { startSeconds, characterSeconds, slots: count } = coherent;
    for (let at = 0; at < slots.length; at++) {
      const place = slots[at] < 0 ? -1 : Math.round((soft.startSeconds[slots[at]] - startSeconds) / characterSeconds);
      if (place >= 0 && place < count) elementsWithoutPhase(coherent, place, llr, at * ELEMENTS_PER_SLOT);
    }
  }
  return llr;
}

/** Usual distance of a burst's slots, seconds. */
export function slotSeconds({ startSeconds, count }: SoftCharacters): number {
  const steps = Float64Array.from({ length: Math.max(0, count - 1) }, (_, i) => startSeconds[i + 1] - startSeconds[i]);
  return steps.length === 0 ? 1 : steps.sort()[steps.length >> 1];
}

function startsOf({ soft, fromSlot, toSlot, shiftSeconds }: Placed): number[] {
  return Array.from(soft.startSeconds.subarray(fromSlot, toSlot), (start) => start + shiftSeconds);
}

/** `known` with those of `more` that are near none of them; both ascending. */
function merged(known: readonly number[], more: readonly number[], near: number): number[] {
  const apart = more.filter((start) => nearest(known, start, near) < 0);
  return [...known, ...apart].sort((a, b) => a - b);
}

/** Place of the nearest start, -1 when none is near. */
function nearest(starts: ArrayLike<number>, start: number, near: number): number {
  let low = 0;
  let high = starts.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (starts[middle] < start) low = middle + 1;
    else high = middle;
  }
  const before = low > 0 ? start - starts[low - 1] : Number.POSITIVE_INFINITY;
  const after = low < starts.length ? starts[low] - start : Number.POSITIVE_INFINITY;
  if (Math.min(before, after) > near) return -1;
  return before < after ? low - 1 : low;
}

/** The slot of a copy at each of the times given, -1 where it has none within half a character. */
export function slotsAt(starts: ArrayLike<number>, copy: Placed): Int32Array {
  const near = slotSeconds(copy.soft) / 2;
  const slots = new Int32Array(starts.length).fill(-1);
  for (let slot = copy.fromSlot; slot < copy.toSlot; slot++) {
    const at = nearest(starts, copy.soft.startSeconds[slot] + copy.shiftSeconds, near);
    if (at >= 0) slots[at] = slot;
  }
  return slots;
}

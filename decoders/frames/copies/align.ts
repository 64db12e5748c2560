import { boundLlr, ELEMENTS_PER_SLOT } from '../../teletype/soft-characters.ts';
import type { SoftCharacters } from '../../teletype/types.ts';

/** A stretch of a burst. */
export interface Stretch {
  readonly soft: SoftCharacters;
  readonly fromSlot: number;
  readonly toSlot: number;
}

/** Slots before and after a stretch in which its frame may have begun or gone on. */
export const SLACK_SLOTS = 3;
/** Slots that two stretches must share. */
const FEWEST_SHARED = 8;
/** Chance that two slots have nothing to do with each other in the right place: a slot between was lost or made up. */
const OUT_OF_STEP = 0.05;
/** Places that are worth a closer look by what the layouts say. */
const MOST_SHIFTS = 4;
/** A place that agrees so much less (nats) than the best is not. */
const FAR_BEHIND = 12;

/** Where a copy may lie. */
export interface Places {
  /** Seconds to add to the copy's times, the likeliest first. */
  readonly shiftsSeconds: readonly number[];
  /** How many places were tried. */
  readonly tried: number;
}

/**
 * Where a copy may lie on what is added so far. Either may lack the frame's beginning or end, so every whole slot is tried
 * at which they share some; the one where the elements agree most is usually right by a wide margin, and where it is
 * not the layouts decide.
 */
export function likelyPlaces(sum: Stretch, copy: Stretch): Places {
  const expected = { sum: expectedElements(sum.soft), copy: expectedElements(copy.soft) };
  const shared = Math.max(1, Math.min(FEWEST_SHARED, copy.toSlot - copy.fromSlot, sum.toSlot - sum.fromSlot));
  const last = sum.toSlot - copy.fromSlot - shared;
  const places: { readonly shiftSeconds: number; readonly nats: number }[] = [];
  for (let offset = sum.fromSlot - copy.toSlot + shared; offset <= last; offset++) {
    const from = Math.max(sum.fromSlot, copy.fromSlot + offset);
    const to = Math.min(sum.toSlot, copy.toSlot + offset);
    const agreements: Agreement[] = [];
    for (let slot = from; slot < to; slot++) {
      agreements.push({
        nats: Math.log(
          OUT_OF_STEP + (1 - OUT_OF_STEP) * Math.exp(slotAgreement(expected.sum, slot, expected.copy, slot - offset)),
        ),
        shiftSeconds: sum.soft.startSeconds[slot] - copy.soft.startSeconds[slot - offset],
      });
    }
    const nats = agreements.reduce((total, each) => total + each.nats, 0);
    places.push({ nats, shiftSeconds: medianShift(agreements) });
  }
  places.sort((a, b) => b.nats - a.nats);
  const likely = places.filter(({ nats }, i) => i < MOST_SHIFTS && nats > places[0].nats - FAR_BEHIND);
  return { shiftsSeconds: likely.map(({ shiftSeconds }) => shiftSeconds), tried: places.length };
}

interface Agreement {
  readonly nats: number;
  readonly shiftSeconds: number;
}

/** Median of the shifts, weighted by how well the slots agree: past a slot that one copy lacks they agree no more. */
function medianShift(agreements: readonly Agreement[]): number {
  const weighted = agreements
    .map(({ nats, shiftSeconds }) => ({ weight: Math.max(nats, 1e-9), shiftSeconds }))
    .sort((a, b) => a.shiftSeconds - b.shiftSeconds);
  let left = weighted.reduce((total, { weight }) => total + weight, 0) / 2;
  return (
    weighted.find(({ weight }) => {
      left -= weight;
      return left <= 0;
    })?.shiftSeconds ?? 0
  );
}

/**
 * ln of how much likelier two copies' data elements are when they come of the same ones than of any others, each
 * equally likely mark or space: a sum of ln(1 + E(a) E(b)) over the expected elements, mark 1 and space -1.
 */
export function agreementNats(a: Float32Array, b: Float32Array): number {
  const expectedA = a.map(expectedElement);
  const expectedB = b.map(expectedElement);
  let sum = 0;
  for (let slot = 0; slot < a.length / ELEMENTS_PER_SLOT; slot++)
    sum += slotAgreement(expectedA, slot, expectedB, slot);
  return sum;
}

function slotAgreement(a: Float32Array, slotA: number, b: Float32Array, slotB: number): number {
  let product = 1;
  for (let element = 1; element < ELEMENTS_PER_SLOT - 1; element++) {
    product *= 1 + a[slotA * ELEMENTS_PER_SLOT + element] * b[slotB * ELEMENTS_PER_SLOT + element];
  }
  return Math.log(product);
}

function expectedElements({ elementLlr }: SoftCharacters): Float32Array {
  return elementLlr.map(expectedElement);
}

function expectedElement(llr: number): number {
  return Math.tanh(boundLlr(llr) / 2);
}

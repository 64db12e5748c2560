import type { BandInfo, ReceiverTuning } from '../audio/types.ts';
import type { BurstCarrier } from '../signal/types.ts';
import type { Burst } from '../teletype/types.ts';
import type { CutOut } from './types.ts';

/** What whoever cut it out read in a burst; seconds count from the start of the cut-out. */
export interface ReadBefore {
  readonly startSeconds: number;
  readonly endSeconds: number;
  readonly text: string;
  readonly slots: readonly SlotBefore[];
  /** Given for a burst of a complex band: what was measured there, and cannot be in its sound. */
  readonly carrier?: BurstCarrier;
}

export interface SlotBefore {
  /** Of the start element. */
  readonly startSeconds: number;
  /** Log-likelihood ratios ln p(mark)/p(space): start, five data elements in sending order, stop. */
  readonly elements: readonly number[];
}

/** What is known of the complex band that bursts were cut out of. */
export interface BandBefore {
  /** Frequency that stands at zero; null when not stated. */
  readonly centerHz: number | null;
  readonly tuning: ReceiverTuning['mode'];
  readonly referenceErrorPpm: number | null;
}

/** How far two readings of the same sound are the same. */
export interface Agreement {
  /** Data elements of the earlier reading. */
  readonly elements: number;
  /** Those of them that the later reading has there, too, and the same. */
  readonly agreeing: number;
}

/** Elements of a slot, the first and last of which say nothing of its character. */
const ELEMENTS = 7;
/** Slots of two readings are the same when they begin this close, in slots. */
const SLOT_APART = 0.25;
const DECIMALS = 100;

/** What was read in a cut-out, to go along with it. */
export function readingOf({ bursts, startSeconds: origin }: CutOut): ReadBefore[] {
  return bursts.map(({ startSeconds, endSeconds, text, soft, carrier }) => ({
    startSeconds: startSeconds - origin,
    endSeconds: endSeconds - origin,
    text,
    slots: Array.from({ length: soft.count }, (_, slot) => ({
      startSeconds: soft.startSeconds[slot] - origin,
      elements: Array.from(soft.elementLlr.subarray(slot * ELEMENTS, (slot + 1) * ELEMENTS), rounded),
    })),
    ...(carrier === undefined ? {} : { carrier: moved(carrier, -origin) }),
  }));
}

/** The carrier in times that count from elsewhere. */
function moved(carrier: BurstCarrier, bySeconds: number): BurstCarrier {
  return {
    ...carrier,
    seconds: carrier.seconds + bySeconds,
    track: carrier.track.map((point) => ({ ...point, seconds: point.seconds + bySeconds })),
  };
}

/** What goes along of a complex band. */
export function bandFacts({ captures, tuning }: BandInfo): BandBefore {
  const { mode = 'unknown', referenceErrorPpm = null } = tuning ?? {};
  return { centerHz: captures[0]?.centerHz ?? null, tuning: mode, referenceErrorPpm };
}

/** Compares what was read in a cut-out with what is read in it now. */
export function agreementOf(before: readonly ReadBefore[], now: readonly Burst[]): Agreement {
  let elements = 0;
  let agreeing = 0;
  for (const burst of before) {
    for (const slot of burst.slots) {
      elements += ELEMENTS - 2;
      agreeing += Math.max(0, ...now.map((own) => sameElements(slot, own)));
    }
  }
  return { elements, agreeing };
}

/** How many data elements of a slot stand the same in a burst; none where it has no slot there. */
function sameElements({ startSeconds, elements }: SlotBefore, { soft, baud }: Burst): number {
  const allowed = (SLOT_APART * ELEMENTS) / baud;
  const slot = nearestSlot(soft.startSeconds, soft.count, startSeconds);
  if (slot < 0 || Math.abs(soft.startSeconds[slot] - startSeconds) > allowed) return 0;
  let same = 0;
  for (let e = 1; e < ELEMENTS - 1; e++) {
    if (elements[e] > 0 === soft.elementLlr[slot * ELEMENTS + e] > 0) same++;
  }
  return same;
}

/** The slot that begins nearest to a time, by halving; -1 for none. */
function nearestSlot(starts: Float64Array, count: number, seconds: number): number {
  let low = 0;
  let high = count;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (starts[middle] < seconds) low = middle + 1;
    else high = middle;
  }
  const isBefore = low > 0 && (low === count || seconds - starts[low - 1] < starts[low] - seconds);
  return isBefore ? low - 1 : low < count ? low : -1;
}

function rounded(llr: number): number {
  return Number.isFinite(llr) ? Math.round(llr * DECIMALS) / DECIMALS : 0;
}

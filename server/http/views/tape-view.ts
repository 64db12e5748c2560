import type { Burst } from '../../../decoders/teletype/types.ts';
import type { StoredBurst, StoredFrame } from '../../store/records.ts';
import type { RecordingBurst, TapeSlot } from '../messages.ts';
import { burstFrame } from './frame-view.ts';

const ELEMENTS = 7;

/** Measured facts of a burst, without what it says. */
export function burstFacts({ index, burst }: StoredBurst) {
  return {
    index,
    startSeconds: burst.startSeconds,
    endSeconds: burst.endSeconds,
    baud: burst.baud,
    markHz: burst.markHz,
    spaceHz: burst.spaceHz,
    reversed: burst.reversed,
    stopElements: burst.stopElements,
    driftHzPerSecond: burst.driftHzPerSecond,
    ebN0Db: burst.ebN0Db,
  };
}

/** Columns of the tape: those of `slots`, or all. */
export function tapeSlots({ soft }: Burst, slots?: ReadonlySet<number>): TapeSlot[] {
  const columns: TapeSlot[] = [];
  for (let slot = 0; slot < soft.count; slot++) {
    if (slots !== undefined && !slots.has(slot)) continue;
    const elements = soft.elementLlr.subarray(slot * ELEMENTS, (slot + 1) * ELEMENTS);
    columns.push({ slot, startSeconds: soft.startSeconds[slot], elements: [...elements] });
  }
  return columns;
}

/** Slots under the characters of frames, with the shifts and fill between them. */
export function slotsUnder(frames: readonly StoredFrame[]): Set<number> {
  const slots = new Set<number>();
  for (const { decoded } of frames) {
    const own = decoded.characters.map(({ slot }) => slot);
    for (let slot = Math.min(...own); slot <= Math.max(...own); slot++) slots.add(slot);
  }
  return slots;
}

/**
 * A burst with its tape and frames.
 *
 * @param whole false for those who may see frames only: text that fits no layout is other people's.
 */
export function recordingBurst(stored: StoredBurst, frames: readonly StoredFrame[], whole: boolean): RecordingBurst {
  const { burst } = stored;
  const visible = whole ? undefined : slotsUnder(frames);
  const characters = burst.characters.filter(({ slot }) => visible === undefined || visible.has(slot));
  return {
    ...burstFacts(stored),
    withheld: characters.length < burst.characters.length,
    text: visible === undefined ? burst.text : characters.map(({ text }) => text).join(''),
    alternativeText: whole ? burst.alternativeText : null,
    characters: characters.map((character) => ({ ...character })),
    slots: tapeSlots(burst, visible),
    frames: frames.map(burstFrame),
  };
}

import type { Burst } from '../../../decoders/teletype/types.ts';
import type { StoredBurst } from '../../store/records.ts';
import type { BurstCarrier, RecordingBurst, TapeSlot } from '../messages.ts';
import type { SeenBurst } from '../seen-bursts.ts';
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
    carrier: carrierView(burst),
  };
}

function carrierView({ carrier }: Burst): BurstCarrier | null {
  if (carrier === undefined) return null;
  const { saidBy, track, ...figures } = carrier;
  return { ...figures, source: saidBy ?? 'recording', track: track.map((point) => ({ ...point })) };
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

/** Slots under the characters of frames, each given by its own, with the shifts and fill between them; -1 is none. */
export function slotsUnder(frames: readonly (readonly number[])[]): Set<number> {
  const slots = new Set<number>();
  for (const frame of frames) {
    const own = frame.filter((slot) => slot >= 0);
    for (let slot = Math.min(...own); slot <= Math.max(...own); slot++) slots.add(slot);
  }
  return slots;
}

/** A burst with its tape and frames: as much of it as its reader may see. */
export function recordingBurst({ stored, heard, visible, audible }: SeenBurst): RecordingBurst {
  const { burst } = stored;
  const characters = burst.characters.filter(({ slot }) => visible === undefined || visible.has(slot));
  return {
    ...burstFacts(stored),
    withheld: characters.length < burst.characters.length,
    audible: audible === null ? null : { startSeconds: audible.startSeconds, endSeconds: audible.endSeconds },
    text: visible === undefined ? burst.text : characters.map(({ text }) => text).join(''),
    alternativeText: visible === undefined ? burst.alternativeText : null,
    characters: characters.map((character) => ({ ...character })),
    slots: tapeSlots(burst, visible),
    frames: heard.map((each) => burstFrame(each, burst)),
  };
}

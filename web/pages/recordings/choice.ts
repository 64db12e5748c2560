import type { RecordingBurst } from '../../../server/http/messages.ts';

/** What is picked out of a burst: a reading, a field, a frame or a character, and the slots that it was read from. */
export interface Choice {
  /** Null where the slots are of no frame. */
  readonly frame: string | null;
  readonly fields: ReadonlySet<string>;
  /** The reading that was chosen, if it was one. */
  readonly parameter: string | null;
  readonly slots: ReadonlySet<number>;
}

export const NOTHING: Choice = { frame: null, fields: new Set(), parameter: null, slots: new Set() };

type Frame = RecordingBurst['frames'][number];

/** A whole frame. */
export function frameChoice({ id, characters }: Frame): Choice {
  return { ...NOTHING, frame: id, slots: new Set(characters.map(({ slot }) => slot)) };
}

/** Fields of a frame, perhaps as what a reading came from. */
export function fieldChoice(
  { id, characters }: Frame,
  fields: ReadonlySet<string>,
  parameter: string | null = null,
): Choice {
  const slots = characters.filter(({ field }) => field !== null && fields.has(field)).map(({ slot }) => slot);
  return { frame: id, fields, parameter, slots: new Set(slots) };
}

/** A character on the tape: with the field that it belongs to, if any. */
export function slotChoice(frames: readonly Frame[], slot: number): Choice {
  for (const frame of frames) {
    const field = frame.characters.find((character) => character.slot === slot)?.field;
    if (field) return fieldChoice(frame, new Set([field]));
  }
  return { ...NOTHING, slots: new Set([slot]) };
}

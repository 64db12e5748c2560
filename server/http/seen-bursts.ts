import type { Caller } from '../access/caller.ts';
import { owns } from '../access/rules.ts';
import type { Services } from '../services.ts';
import { type Audible, audibleWith, roomsBetween } from '../sound/audible.ts';
import type { StoredBurst, StoredRecording } from '../store/records.ts';
import type { HeardHere } from './views/frame-view.ts';
import { slotsUnder } from './views/tape-view.ts';
import { hiddenMissions } from './visible.ts';

/** A burst as one reader may see and hear it. */
export interface SeenBurst {
  readonly stored: StoredBurst;
  /** Its frames that the reader may see. */
  readonly heard: readonly HeardHere[];
  /** Slots that the reader may see; undefined for all: text that fits no layout is other people's. */
  readonly visible: ReadonlySet<number> | undefined;
  readonly audible: Audible | null;
}

/** The bursts of a recording in their order, as the caller may see and hear them. */
export async function seenBursts(
  services: Services,
  caller: Caller,
  recording: StoredRecording,
): Promise<readonly SeenBurst[]> {
  const { store } = services;
  const whole = owns(caller, recording);
  const hidden = whole ? new Set<string>() : await hiddenMissions(services, caller);
  const frames = (await store.framesOfRecording(recording.id)).filter(({ mission }) => !hidden.has(mission));
  const copiesOf = await Promise.all(
    frames.map(async (frame) => ({ frame, copies: await store.copiesOfFrame(frame.id) })),
  );
  const bursts = await store.bursts(recording.id);
  const rooms = roomsBetween(
    bursts.map(({ burst }) => burst),
    recording.audio?.seconds ?? 0,
  );
  return bursts.map((stored, i) => {
    const heard = copiesOf.flatMap(({ frame, copies }) => {
      const own = copies.filter((copy) => copy.recording === recording.id && copy.burst === stored.index);
      return own.length === 0 ? [] : [{ frame, copies: own }];
    });
    const visible = whole ? undefined : slotsUnder(heard.flatMap(({ copies }) => copies.map(({ slots }) => slots)));
    // In a complex band nothing is heard but what can be demodulated.
    const isSound = !recording.audio?.iq || stored.burst.carrier !== undefined;
    return { stored, heard, visible, audible: isSound ? audibleWith(stored.burst, rooms[i], visible) : null };
  });
}

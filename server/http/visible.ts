import type { Caller } from '../access/caller.ts';
import { maySeePrivate, owns } from '../access/rules.ts';
import type { CurrentMission } from '../missions/catalog.ts';
import { Refusal } from '../refusal.ts';
import type { Services } from '../services.ts';
import type { StoredFrame, StoredRecording } from '../store/records.ts';
import { storedId } from './ids.ts';

export function unknownMission(id: string): Refusal {
  return new Refusal('mission-unknown', `there is no mission ${id}: see /api/missions`);
}

/** A mission that the caller may read. Throws a `Refusal`. */
export async function visibleMission({ catalog }: Services, caller: Caller, id: string): Promise<CurrentMission> {
  const current = await catalog.current(id);
  if (current === null) throw unknownMission(id);
  if (current.private && !maySeePrivate(caller)) {
    throw new Refusal('key-needed', `${id} is read with a key only: send a station's or the team's`);
  }
  return current;
}

/** Private missions of which the caller may not know. */
export async function hiddenMissions({ store }: Services, caller: Caller): Promise<ReadonlySet<string>> {
  return new Set(maySeePrivate(caller) ? [] : await store.privateMissions());
}

/** A recording that the caller may know of, by its public name. Throws a `Refusal`. */
export async function visibleRecording(services: Services, caller: Caller, publicId: string): Promise<StoredRecording> {
  const recording = await services.store.recording(storedId(publicId));
  if (recording === null)
    throw new Refusal('recording-unknown', `there is no recording ${publicId}; it may have been deleted`);
  if (recording.mission !== null && !owns(caller, recording)) await visibleMission(services, caller, recording.mission);
  return recording;
}

/** A frame that the caller may read, by its public name. Throws a `Refusal`. */
export async function visibleFrame(services: Services, caller: Caller, publicId: string): Promise<StoredFrame> {
  const frame = await services.store.frame(storedId(publicId));
  if (frame === null)
    throw new Refusal('frame-unknown', `there is no frame ${publicId}; its recording may have been deleted`);
  await visibleMission(services, caller, frame.mission);
  return frame;
}

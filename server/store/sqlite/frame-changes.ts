import type { Database } from 'better-sqlite3';
import type { FrameChanges, FrameState, HeardFrame, Instant } from '../records.ts';
import { copyWriter } from './copy-rows.ts';
import { eventWriter } from './events.ts';
import { frameWriter } from './frame-rows.ts';

/**
 * Stores what becomes of frames when a recording comes, goes or is dated anew, and tells of it; part of the transaction
 * that makes it so. Returns the missions whose frames changed.
 */
export function frameChanger(db: Database): (changes: FrameChanges, at: Instant) => Set<string> {
  const frames = frameWriter(db);
  const writeCopies = copyWriter(db);
  const writeEvent = eventWriter(db);
  const missionOf = db
    .prepare<[number], string>('select m.id from frames f join missions m on m.key = f.mission where f.id = ?')
    .pluck();
  return ({ added, redecided, removed }, at) => {
    const missions = new Set<string>();
    for (const id of removed) {
      const mission = missionOf.get(id);
      if (mission !== undefined) missions.add(mission);
      frames.remove(id);
    }
    for (const { id, frame, source, copies, before } of redecided) {
      frames.rewrite(id, frame, { kind: 'recording', ...source });
      writeCopies(id, copies);
      missions.add(frame.mission);
      if (before === null) continue;
      const after = stateOf(frame, copies);
      writeEvent(at, { type: 'frame-redecided', mission: frame.mission, frame: id, before, after });
    }
    for (const { frame, source, copies } of added) {
      const id = frames.insert(frame, { kind: 'recording', ...source }, at);
      writeCopies(id, copies);
      missions.add(frame.mission);
      writeEvent(at, { type: 'frame', mission: frame.mission, frame: id });
    }
    return missions;
  };
}

function stateOf({ decoded }: HeardFrame['frame'], copies: HeardFrame['copies']): FrameState {
  return { text: decoded.text, trust: decoded.trust, copies: copies.length };
}

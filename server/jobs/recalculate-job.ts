import { setImmediate } from 'node:timers/promises';
import { readFrames } from '../readings/read-frames.ts';
import type { Services } from '../services.ts';
import type { Phase, StoredFrame } from '../store/records.ts';

const BATCH_FRAMES = 100;
const PHASES: readonly Phase[] = ['flight', 'rehearsal', 'bench'];

/**
 * Brings the readings of a mission's frames after its newest definition, oldest first. What is done stays done: after an
 * interruption it goes on with the frames that are left.
 */
export async function runRecalculateJob(services: Services, missionId: string, signal: AbortSignal): Promise<void> {
  const { store, catalog, clock } = services;
  do {
    for (;;) {
      signal.throwIfAborted();
      const current = await catalog.current(missionId);
      if (current === null) return store.dropRecalculation(missionId);
      const frames = await store.framesToRecalculate(missionId, current.version, BATCH_FRAMES);
      if (frames.length === 0) break;
      for (const phase of PHASES) {
        const ofPhase = frames.filter((frame) => frame.phase === phase);
        const readings = await readFrames(store, current.mission, phase, ofPhase);
        await store.rereadFrames(ofPhase.map((frame, index) => reread(frame, readings[index], current.version)));
      }
      // Requests come first.
      await setImmediate();
    }
  } while (!(await store.finishRecalculation(missionId, clock())));
}

function reread(frame: StoredFrame, readings: Awaited<ReturnType<typeof readFrames>>[number], readingsVersion: number) {
  return { id: frame.id, readings, readingsVersion };
}

import { isPractice } from '../../decoders/mission/practice.ts';
import type { Services } from '../services.ts';
import type { FrameChanges, Phase, StoredBurst, StoredRecording } from '../store/records.ts';
import { changesTo } from './changes.ts';
import { groupTransmissions } from './group.ts';
import type { HeardRecording, Hearing, Span } from './hearing.ts';
import { neighbourhoodOf, StoredHearings, spansOf, unreadBurst } from './neighbourhood.ts';

type Shared = Pick<Services, 'store' | 'catalog' | 'combiner' | 'locks'>;

/** What a recording holds, or will hold. */
interface Held {
  readonly recording: number;
  readonly phases: ReadonlySet<Phase>;
  readonly spans: readonly Span[];
  readonly hearings: readonly Hearing[];
  readonly bursts: readonly Hearing[];
}

/** A recording as it will be said to be. */
export interface Restated extends HeardRecording {
  /** Phase of all its frames; null to leave each as it is. */
  readonly phase: Phase | null;
}

/**
 * Lets one piece of work at a time find out what becomes of frames and store it: what one works out from the store is
 * true until it is stored.
 */
export function whileFramesStand<T>({ locks }: Pick<Services, 'locks'>, work: () => Promise<T>): Promise<T> {
  return locks.run('transmissions', work);
}

/** What a decoded recording makes of the frames. Call it `whileFramesStand`. */
export async function changesByDecoding(
  services: Shared,
  recording: HeardRecording & Pick<StoredRecording, 'phase'>,
  bursts: readonly StoredBurst[],
  hearings: readonly Hearing[],
  simulated: boolean,
): Promise<FrameChanges> {
  const { phase } = recording;
  return changes(services, {
    recording: recording.id,
    phases: new Set([phase, ...hearings.map((hearing) => hearing.phase)]),
    spans: spansOf(recording, bursts),
    hearings,
    bursts: simulated ? [] : bursts.map((burst) => unreadBurst(recording, phase, burst)),
  });
}

/** What becomes of the frames when a recording is said to be another's, or of another time. Call it `whileFramesStand`. */
export async function changesByRestating(
  services: Shared,
  recording: StoredRecording,
  as: Restated,
): Promise<FrameChanges> {
  const { store, catalog } = services;
  const missions = await catalog.all();
  const reader = new StoredHearings(services, missions);
  const hearings: Hearing[] = [];
  const phases = new Set([recording.phase]);
  for (const frame of await store.framesOfRecording(recording.id)) {
    phases.add(frame.phase);
    const own = (await store.copiesOfFrame(frame.id)).filter((copy) => copy.recording === recording.id);
    for (const hearing of await reader.hearingsOf(frame, own, as)) {
      // Whatever its sender says: practice is never flight.
      const isPractised = isPractice(hearing.decision?.decoded.text ?? '');
      const phase = isPractised ? hearing.phase : (as.phase ?? hearing.phase);
      phases.add(phase);
      hearings.push({ ...hearing, phase });
    }
  }
  const bursts = await store.bursts(recording.id);
  const phase = as.phase ?? recording.phase;
  return changes(services, {
    recording: recording.id,
    phases,
    spans: spansOf(as, bursts),
    hearings,
    bursts: recording.audio?.simulated ? [] : bursts.map((burst) => unreadBurst(as, phase, burst)),
  });
}

/** What becomes of the frames when a recording goes. Call it `whileFramesStand`. */
export async function changesByDeleting(services: Shared, { id, phase }: StoredRecording): Promise<FrameChanges> {
  const frames = await services.store.framesOfRecording(id);
  const phases = new Set([phase, ...frames.map((frame) => frame.phase)]);
  return changes(services, { recording: id, phases, spans: [], hearings: [], bursts: [] });
}

async function changes(services: Shared, held: Held): Promise<FrameChanges> {
  const { store, catalog, combiner } = services;
  const missions = await catalog.all();
  const around = await neighbourhoodOf(services, held.recording, held.phases, held.spans, missions);
  const transmissions = await groupTransmissions({
    hearings: [...held.hearings, ...around.hearings],
    bursts: [...held.bursts, ...around.bursts],
    missions,
    combiner,
  });
  return changesTo(store, transmissions, around.frames, missions);
}

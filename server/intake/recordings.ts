import { hashKey, newKey } from '../keys/secrets.ts';
import { readFrames } from '../readings/read-frames.ts';
import { Refusal } from '../refusal.ts';
import type { Services } from '../services.ts';
import type { IncomingFile } from '../store/files.ts';
import type { Dating, Instant, Phase, RereadFrame, StoredFrame, StoredRecording } from '../store/records.ts';

/** What a sender says of a recording. */
export interface RecordingClaims {
  /** Null for any mission. */
  readonly mission: string | null;
  readonly station: string;
  readonly vouched: boolean;
  readonly phase: Phase;
  readonly startedAt: Instant | null;
  readonly timeAccuracySeconds: number | null;
  readonly fileName: string | null;
}

export interface AcceptedRecording {
  readonly recording: StoredRecording;
  /** Key of its sender; null when these bytes were here already. */
  readonly senderKey: string | null;
}

type Shared = Pick<Services, 'store' | 'files' | 'catalog' | 'locks' | 'clock'>;

/**
 * Makes received bytes a recording that waits for decoding. The same bytes again are the same recording; when a known
 * station or the team sends what nobody vouched for, it becomes theirs.
 */
export async function acceptRecording(
  services: Shared,
  incoming: IncomingFile,
  claims: RecordingClaims,
): Promise<AcceptedRecording> {
  const { store, files, locks, clock } = services;
  if (incoming.bytes === 0) {
    await files.discard(incoming);
    throw new Refusal('recording-empty', 'the file has no bytes: choose another', { at: 'body/file' });
  }
  return locks.run(incoming.sha256, async () => {
    const known = await store.recordingBySha256(incoming.sha256);
    if (known !== null) {
      await files.discard(incoming);
      return { recording: await claimKnown(services, known, claims), senderKey: null };
    }
    await files.keep(incoming);
    const senderKey = newKey();
    const { recording } = await store.addRecording({
      sha256: incoming.sha256,
      bytes: incoming.bytes,
      mission: claims.mission,
      station: claims.station,
      vouched: claims.vouched,
      phase: claims.phase,
      uploadedAt: clock(),
      ...datingBySender(claims),
      fileName: claims.fileName,
      senderKeyHash: hashKey(senderKey),
    });
    return { recording, senderKey };
  });
}

/** The dating that a sender states. */
export function datingBySender({ startedAt, timeAccuracySeconds }: Omit<Dating, 'startedAtSource'>): Dating {
  return { startedAt, startedAtSource: startedAt === null ? null : 'sender', timeAccuracySeconds };
}

async function claimKnown(services: Shared, known: StoredRecording, claims: RecordingClaims): Promise<StoredRecording> {
  if (known.vouched || !claims.vouched) return known;
  const { store, clock } = services;
  // Of a simulated file it was decided by mission which frames are rehearsal.
  const phase = known.audio?.simulated ? null : claims.phase;
  await store.claimRecording(known.id, { station: claims.station, phase }, clock());
  if (claims.startedAt !== null) await redate(services, known.id, datingBySender(claims));
  return (await store.recording(known.id)) ?? known;
}

/** Changes when a recording began: its frames and readings follow. */
export async function redateRecording(services: Shared, recording: StoredRecording, dating: Dating): Promise<void> {
  await services.locks.run(recording.sha256, () => redate(services, recording.id, dating));
}

async function redate(services: Shared, id: number, dating: Dating): Promise<void> {
  const { store, clock } = services;
  const frames = await store.framesOfRecording(id);
  await store.redateRecording(id, dating, await datedAnew(services, frames, dating.startedAt), clock());
}

async function datedAnew(
  { store, catalog }: Shared,
  frames: readonly StoredFrame[],
  startedAt: Instant | null,
): Promise<RereadFrame[]> {
  const reread: RereadFrame[] = [];
  for (const group of groups(frames)) {
    const [{ mission: missionId, phase }] = group;
    const current = await catalog.current(missionId);
    if (current === null) continue;
    const dated = group.map((frame) => ({
      id: frame.id,
      decoded: frame.decoded,
      receivedAt: startedAt === null ? null : startedAt + Math.round(frame.decoded.startSeconds * 1000),
    }));
    const readings = await readFrames(store, current.mission, phase, dated);
    for (const [index, { id, receivedAt }] of dated.entries()) {
      reread.push({ id, receivedAt, readings: readings[index], readingsVersion: current.version });
    }
  }
  return reread;
}

/** Frames by mission and phase; no group is empty. */
function groups(frames: readonly StoredFrame[]): StoredFrame[][] {
  const found = new Map<string, StoredFrame[]>();
  for (const frame of frames) {
    const key = `${frame.phase} ${frame.mission}`;
    found.set(key, [...(found.get(key) ?? []), frame]);
  }
  return [...found.values()];
}

/** Removes a recording with its bytes and all that was read from it. */
export async function deleteRecording(services: Shared, recording: StoredRecording): Promise<void> {
  const { store, files, locks, clock } = services;
  await locks.run(recording.sha256, async () => {
    await store.deleteRecording(recording.id, clock());
    await files.remove(recording.sha256);
  });
}

import type { Mission } from '../../decoders/mission/types.ts';
import { hashKey, newKey } from '../keys/secrets.ts';
import { Refusal } from '../refusal.ts';
import type { Services } from '../services.ts';
import type { IncomingFile } from '../store/files.ts';
import type { BandClaim, CutOutClaim, Dating, Phase, StoredRecording } from '../store/records.ts';
import { changesByDeleting, changesByRestating, whileFramesStand } from '../transmissions/regroup.ts';
import { type DatingClaims, datingBySender, needPossible } from './dating.ts';

/** What a sender says of a recording. */
export interface RecordingClaims extends DatingClaims {
  /** Null for any mission. */
  readonly mission: string | null;
  readonly station: string;
  readonly vouched: boolean;
  readonly phase: Phase;
  readonly fileName: string | null;
  readonly bandClaim: BandClaim | null;
  /** Given for bursts that were cut out of a longer recording. */
  readonly cutOut?: CutOutClaim;
}

export interface AcceptedRecording {
  readonly recording: StoredRecording;
  /** Key of its sender; null when these bytes were here already. */
  readonly senderKey: string | null;
}

type Shared = Pick<Services, 'store' | 'files' | 'copies' | 'catalog' | 'combiner' | 'locks' | 'clock'>;

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
      ...datingBySender(claimedDating(claims)),
      fileName: claims.fileName,
      bandClaim: claims.bandClaim,
      senderKeyHash: hashKey(senderKey),
      cutOut: claims.cutOut === undefined ? null : { ...claims.cutOut, readAgain: null },
    });
    return { recording, senderKey };
  });
}

async function claimKnown(services: Shared, known: StoredRecording, claims: RecordingClaims): Promise<StoredRecording> {
  if (known.vouched || !claims.vouched) return known;
  const { store, clock } = services;
  // Of a simulated file it was decided by mission which frames are rehearsal.
  const phase = known.audio?.simulated ? null : claims.phase;
  const { station } = claims;
  await whileFramesStand(services, async () => {
    const changes = await changesByRestating(services, known, { ...known, station, vouched: true, phase });
    await store.claimRecording(known.id, { station, phase }, changes, clock());
  });
  if (claims.startedAt !== null) await redate(services, known.id, datingBySender(claimedDating(claims)));
  return (await store.recording(known.id)) ?? known;
}

function claimedDating({ startedAt, startedAtSource, timeAccuracySeconds, timeBase }: DatingClaims): DatingClaims {
  const source = startedAtSource === undefined ? {} : { startedAtSource };
  return { startedAt, ...source, timeAccuracySeconds, timeBase };
}

/** Changes when a recording began: its frames and readings follow. Refuses a time that cannot be. */
export async function redateRecording(services: Shared, recording: StoredRecording, dating: Dating): Promise<void> {
  await services.locks.run(recording.sha256, () => redate(services, recording.id, dating));
}

async function redate(services: Shared, id: number, dating: Dating): Promise<void> {
  const { store, clock } = services;
  await whileFramesStand(services, async () => {
    const recording = await store.recording(id);
    if (recording === null) return;
    if (dating.startedAt !== null && dating.startedAt !== recording.startedAt) {
      needPossible(dating.startedAt, recording, await missionsOf(services, recording));
    }
    const changes = await changesByRestating(services, recording, { ...recording, ...dating, phase: null });
    await store.redateRecording(id, dating, changes, clock());
  });
}

async function missionsOf({ catalog }: Shared, { mission }: StoredRecording): Promise<Mission[]> {
  const all = await catalog.all();
  return all.flatMap((current) => (mission === null || mission === current.mission.id ? [current.mission] : []));
}

/**
 * Changes what a sender says of a recording as a complex band. Where that decides how its samples are read, they are read
 * again, and until then nothing of it stands. Refuses that while they are being read.
 */
export async function claimBand(services: Shared, recording: StoredRecording, claim: BandClaim): Promise<void> {
  const { store, copies, locks, clock } = services;
  await locks.run(recording.sha256, () =>
    whileFramesStand(services, async () => {
      const standing = await store.recording(recording.id);
      if (standing === null) return;
      const { isBand = false, centerHz = null } = standing.bandClaim ?? {};
      const readsOtherwise = claim.isBand !== isBand || (claim.isBand && claim.centerHz !== centerHz);
      if (!readsOtherwise || standing.status === 'waiting') return store.claimBand(standing.id, claim, clock());
      if (standing.status === 'decoding') {
        throw new Refusal(
          'recording-not-decoded',
          'the recording is being decoded: wait for that, then say what it is',
        );
      }
      const changes = await changesByDeleting(services, standing);
      await store.decodeAgain(standing.id, claim, changes, clock());
      await copies.remove(standing.sha256);
    }),
  );
}

/** Removes a recording with its bytes; frames that others heard too are decided without it, the others go. */
export async function deleteRecording(services: Shared, recording: StoredRecording): Promise<void> {
  const { store, files, copies, locks, clock } = services;
  await locks.run(recording.sha256, async () => {
    await whileFramesStand(services, async () => {
      const changes = await changesByDeleting(services, recording);
      await store.deleteRecording(recording.id, changes, clock());
    });
    await files.remove(recording.sha256);
    await copies.remove(recording.sha256);
  });
}

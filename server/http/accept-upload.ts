import type { Static } from 'typebox';
import type { Caller } from '../access/caller.ts';
import { vouchesFor } from '../access/rules.ts';
import { normalCallSign } from '../call-sign.ts';
import { startInstant } from '../intake/dating.ts';
import { acceptRecording } from '../intake/recordings.ts';
import type { Services } from '../services.ts';
import { recordingId } from './ids.ts';
import type { RecordingAccepted, RecordingFields } from './messages.ts';
import { visibleMission } from './visible.ts';

type Accept = Parameters<typeof acceptRecording>;
type Claims = Accept[2];

/** What every form that hands over sound says of it. */
type SaidOfSound = Pick<
  Static<typeof RecordingFields>,
  'mission' | 'station' | 'phase' | 'startedAt' | 'timeAccuracySeconds' | 'timeBase'
>;

/**
 * Accepts an uploaded file as a recording, by what its form says of it.
 *
 * @param beside what else is known of it.
 * @returns the answer, and whether the file is a new one.
 */
export async function acceptUpload(
  services: Services,
  caller: Caller,
  file: Accept[1],
  { mission, station: given, phase, startedAt, timeAccuracySeconds, timeBase }: SaidOfSound,
  beside: Pick<Claims, 'fileName' | 'bandClaim' | 'startedAtSource' | 'cutOut'>,
): Promise<{ readonly isNew: boolean; readonly answer: Static<typeof RecordingAccepted> }> {
  if (mission !== 'any') await visibleMission(services, caller, mission);
  const station = normalCallSign(given);
  const { recording, senderKey } = await acceptRecording(services, file, {
    mission: mission === 'any' ? null : mission,
    station,
    vouched: vouchesFor(caller, station),
    phase: phase ?? 'flight',
    startedAt: startedAt === undefined ? null : startInstant(startedAt, 'body/startedAt', services.clock()),
    timeAccuracySeconds: timeAccuracySeconds ?? null,
    timeBase: timeBase ?? null,
    ...beside,
  });
  const { id, sha256, status } = recording;
  const answer = { id: recordingId(id), sha256, status, ...(senderKey === null ? {} : { senderKey }) };
  return { isNew: senderKey !== null, answer };
}

import { chooseStart, type StartBounds, statedStarts, whyImpossible } from '../../decoders/audio/choose-start.ts';
import { type RecordingStart, SENDER } from '../../decoders/audio/start-time.ts';
import { leavesGaps } from '../../decoders/audio/time-gaps.ts';
import type { AudioProblem } from '../../decoders/audio/types.ts';
import type { DecodeSummary } from '../../decoders/decode.ts';
import type { Mission } from '../../decoders/mission/types.ts';
import { Refusal } from '../refusal.ts';
import type { Dating, Instant, StoredRecording } from '../store/records.ts';
import { instantOf, isoTime } from '../time.ts';

/** What a sender says of when a recording began. */
export interface DatingClaims extends Omit<Dating, 'startedAtSource'> {
  /** Whose word the sender passes on; without it the sender's own. */
  readonly startedAtSource?: string;
}

/** The dating that a sender states. */
export function datingBySender(claims: DatingClaims): Dating {
  const { startedAtSource = SENDER } = claims;
  return { ...claims, startedAtSource: claims.startedAt === null ? null : startedAtSource };
}

/** Reads a start that a sender states now. Refuses one that cannot be. */
export function startInstant(iso: string, at: string, now: Instant): Instant {
  const instant = instantOf(iso, at);
  refuseImpossible(instant, { seconds: 0, existedAt: isoTime(now), notBefore: null }, at);
  return instant;
}

/** Refuses a start that cannot be that of a recording of which more is known by now. */
export function needPossible(startedAt: Instant, recording: StoredRecording, missions: readonly Mission[]): void {
  refuseImpossible(startedAt, boundsOf(recording, recording.audio?.seconds ?? 0, missions), 'body/startedAt');
}

/** When a decoded recording began: what its sender said, else what it says itself, else what its name says. */
export function datingOf(
  recording: StoredRecording,
  { info, seconds, problems }: DecodeSummary,
  missions: readonly Mission[],
): { readonly dating: Dating; readonly problems: readonly AudioProblem[] } {
  const { fileName, timeAccuracySeconds } = recording;
  const chosen = chooseStart(
    statedStarts(declaredStart(recording), info, fileName),
    boundsOf(recording, seconds, missions),
  );
  const timeBase = recording.timeBase ?? (leavesGaps([...problems, ...chosen.problems]) ? 'gaps' : null);
  const { start } = chosen;
  const dating: Dating =
    start === null
      ? { startedAt: null, startedAtSource: null, timeAccuracySeconds, timeBase }
      : {
          startedAt: Date.parse(start.iso),
          startedAtSource: start.source,
          timeAccuracySeconds: timeAccuracySeconds ?? start.uncertaintySeconds,
          timeBase,
        };
  return { dating, problems: chosen.problems };
}

function declaredStart(recording: StoredRecording): RecordingStart | null {
  const { startedAt, startedAtSource, timeAccuracySeconds } = recording;
  if (startedAt === null) return null;
  const source = startedAtSource ?? SENDER;
  return { iso: isoTime(startedAt), source, uncertaintySeconds: timeAccuracySeconds, zoneStated: true };
}

function boundsOf(recording: StoredRecording, seconds: number, missions: readonly Mission[]): StartBounds {
  const { uploadedAt, phase } = recording;
  const launches = missions.flatMap(({ launchedAt }) => launchedAt ?? []).sort();
  const known = phase === 'flight' && launches.length === missions.length;
  return { seconds, existedAt: isoTime(uploadedAt), notBefore: known ? (launches[0] ?? null) : null };
}

function refuseImpossible(instant: Instant, bounds: StartBounds, at: string): void {
  const reason = whyImpossible(isoTime(instant), bounds);
  if (reason === null) return;
  throw new Refusal(
    'time-impossible',
    `${at} is ${isoTime(instant)}: ${reason}. Mend the clock, the date or the zone`,
    {
      at,
    },
  );
}

import type { StoredCutOut, StoredRecording } from '../../store/records.ts';
import { isoTime, isoTimeOrNull } from '../../time.ts';
import { recordingId } from '../ids.ts';
import type { CutOut, Recording } from '../messages.ts';
import { bandView } from './band-view.ts';

/**
 * A recording as its readers see it.
 *
 * @param decoded share that is decoded while it is being decoded, 0..1.
 * @param yours whether the reader is its sender or of the team: others do not see what the sender called it.
 * @param hidden missions that the reader must not know of.
 */
export function recordingView(
  recording: StoredRecording,
  decoded: number,
  yours: boolean,
  hidden: ReadonlySet<string>,
): Recording {
  const { status, failure, audio } = recording;
  return {
    id: recordingId(recording.id),
    sha256: recording.sha256,
    status,
    progress: status === 'decoded' ? 1 : decoded,
    bursts: recording.bursts,
    frames: recording.frames,
    ...(failure === null ? {} : { error: { ...failure } }),
    mission: recording.mission ?? 'any',
    station: recording.station,
    vouched: recording.vouched,
    phase: recording.phase,
    uploadedAt: isoTime(recording.uploadedAt),
    startedAt: isoTimeOrNull(recording.startedAt),
    startedAtSource: recording.startedAtSource,
    timeAccuracySeconds: recording.timeAccuracySeconds,
    timeBase: recording.timeBase,
    needsTime: status === 'decoded' && recording.startedAt === null && recording.frames > 0,
    bytes: recording.bytes,
    fileName: yours ? recording.fileName : null,
    audio: audio === null ? null : { ...audio, iq: bandView(recording) },
    problems: recording.problems.map((problem) => ({ ...problem })),
    presence: recording.presence.filter(({ mission }) => !hidden.has(mission)).map((presence) => ({ ...presence })),
    decoderVersion: recording.decoderVersion,
    ...(recording.cutOut === null ? {} : { cutOut: cutOutView(recording.cutOut) }),
    yours,
  };
}

function cutOutView({ software, decoderVersion, source, band, bursts, readAgain }: StoredCutOut): CutOut {
  return {
    software,
    decoderVersion,
    source: { ...source },
    band: band ? { ...band } : null,
    bursts: bursts.length,
    readAgain: readAgain && { ...readAgain },
  };
}

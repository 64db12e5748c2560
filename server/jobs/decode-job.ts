import type { AudioProblem } from '../../decoders/audio/types.ts';
import { FiveunitError } from '../../decoders/errors.ts';
import type { CurrentMission } from '../missions/catalog.ts';
import { readFrames } from '../readings/read-frames.ts';
import type { Services } from '../services.ts';
import type { Dating, DecodingResult, Failure, NewFrame, Phase, StoredRecording } from '../store/records.ts';
import { isoTimeOrNull, plausibleReception } from '../time.ts';
import { DECODER_VERSION, type DecodeOutcome, type DecodeProgress, type FoundBurst } from './decode-runner.ts';

type ReadableOutcome = Extract<DecodeOutcome, { readable: true }>;

const REHEARSED: AudioProblem = {
  code: 'simulated',
  message: 'The file says that it is simulated: its frames are kept as rehearsal, not as flight.',
  atSeconds: null,
};

/**
 * Decodes a recording and stores what it gave, once. Whatever goes wrong in decoding is stored as the recording's
 * failure; rejects when aborted, and when the store fails.
 */
export async function runDecodeJob(
  services: Services,
  id: number,
  signal: AbortSignal,
  onProgress: (recording: StoredRecording, progress: DecodeProgress) => void,
): Promise<void> {
  const { store, files, catalog, decoding, locks, clock } = services;
  const recording = await store.recording(id);
  if (recording === null) return;
  const missions = await missionsFor(recording, catalog);
  const task = {
    path: files.pathOf(recording.sha256),
    missions: missions.map(({ mission }) => mission),
    startedAt: isoTimeOrNull(recording.startedAt),
  };
  const outcome = await decoding
    .run(task, { signal, onProgress: (progress) => onProgress(recording, progress) })
    .catch((error: unknown): DecodeOutcome => {
      signal.throwIfAborted();
      if (!(error instanceof FiveunitError)) services.complain(error, `decoding recording ${id}`);
      return { readable: false, failure: failureOf(error) };
    });
  await locks.run(recording.sha256, async () => {
    // Its sender may have dated or deleted it meanwhile.
    const standing = await store.recording(id);
    if (standing === null) return;
    if (outcome.readable) await store.finishDecoding(await resultOf(services, standing, missions, outcome));
    else await store.failDecoding(id, outcome.failure, clock());
  });
}

async function missionsFor(recording: StoredRecording, catalog: Services['catalog']): Promise<CurrentMission[]> {
  if (recording.mission === null) return catalog.all();
  const current = await catalog.current(recording.mission);
  return current === null ? [] : [current];
}

function failureOf(error: unknown): Failure {
  if (error instanceof FiveunitError) return { code: error.code, message: error.message };
  return {
    code: 'decoding-broke',
    message:
      'the decoder failed on this recording, which is a fault of the program: the recording is kept, please report it',
  };
}

async function resultOf(
  services: Services,
  recording: StoredRecording,
  missions: readonly CurrentMission[],
  { summary, bursts }: ReadableOutcome,
): Promise<DecodingResult> {
  const finishedAt = services.clock();
  const { dating, problems } = datingOf(recording, summary.info.startedAt, finishedAt);
  const { encoding, sampleRateHz, channels, simulated = false } = summary.info;
  const withFrames = await withReadings(services, recording, simulated, dating, missions, bursts);
  if (withFrames.some(({ frames }) => frames.some(({ phase }) => phase !== recording.phase))) problems.push(REHEARSED);
  return {
    recording: recording.id,
    decoderVersion: DECODER_VERSION,
    dating,
    audio: { encoding, sampleRateHz, channels, channel: summary.channel, seconds: summary.seconds, simulated },
    problems: [...summary.problems, ...problems],
    bursts: withFrames,
    finishedAt,
  };
}

/** What the sender said goes before what the file says. */
function datingOf(
  recording: StoredRecording,
  inFile: ReadableOutcome['summary']['info']['startedAt'],
  now: number,
): { dating: Dating; problems: AudioProblem[] } {
  const { startedAt, startedAtSource, timeAccuracySeconds } = recording;
  const dating = { startedAt, startedAtSource, timeAccuracySeconds };
  if (startedAt !== null || inFile === null) return { dating, problems: [] };
  const instant = Date.parse(inFile.iso);
  if (!plausibleReception(instant, now)) {
    const message = `the file says (${inFile.source}) that it began at ${inFile.iso}, which cannot be: give its time`;
    return { dating, problems: [{ code: 'time-impossible', message, atSeconds: null }] };
  }
  return { dating: { startedAt: instant, startedAtSource: inFile.source, timeAccuracySeconds }, problems: [] };
}

async function withReadings(
  { store }: Services,
  recording: StoredRecording,
  simulated: boolean,
  { startedAt }: Dating,
  missions: readonly CurrentMission[],
  bursts: readonly FoundBurst[],
): Promise<DecodingResult['bursts']> {
  const newFrames = new Map<FoundBurst['frames'][number], NewFrame>();
  for (const current of missions) {
    const found = bursts.flatMap(({ frames }) => frames.filter(({ mission }) => mission === current.mission.id));
    const phase = phaseOf(recording, simulated, current);
    const receivedAt = ({ frame }: (typeof found)[number]) =>
      startedAt === null ? null : startedAt + Math.round(frame.startSeconds * 1000);
    const readings = await readFrames(
      store,
      current.mission,
      phase,
      found.map((each) => ({ decoded: each.frame, receivedAt: receivedAt(each) })),
    );
    for (const [index, each] of found.entries()) {
      newFrames.set(each, {
        mission: current.mission.id,
        version: current.version,
        receivedAt: receivedAt(each),
        station: recording.station,
        vouched: recording.vouched,
        phase,
        decoded: each.frame,
        readings: readings[index],
      });
    }
  }
  return bursts.map(({ burst, frames }) => ({ burst, frames: frames.flatMap((frame) => newFrames.get(frame) ?? []) }));
}

/** A simulated file is never flight, except of a mission that is itself made up. */
function phaseOf({ phase }: StoredRecording, simulated: boolean, { invented }: CurrentMission): Phase {
  return simulated && phase === 'flight' && !invented ? 'rehearsal' : phase;
}

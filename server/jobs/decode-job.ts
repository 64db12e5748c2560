import type { AudioProblem } from '../../decoders/audio/types.ts';
import { type Agreement, agreementOf, type ReadBefore } from '../../decoders/cut-outs/reading.ts';
import type { BeaconPresence, FrameWithReadings } from '../../decoders/decode.ts';
import { DECODER_VERSION } from '../../decoders/decoder-version.ts';
import { FiveunitError } from '../../decoders/errors.ts';
import { isPractice, PRACTICE_CALL_SIGN } from '../../decoders/mission/practice.ts';
import type { Burst } from '../../decoders/teletype/types.ts';
import { datingOf } from '../intake/dating.ts';
import type { CurrentMission } from '../missions/catalog.ts';
import type { Services } from '../services.ts';
import { packSoft, unpackSoft } from '../store/pack/soft.ts';
import type {
  DecodingResult,
  Failure,
  Phase,
  StoredBurst,
  StoredCutOut,
  StoredPresence,
  StoredRecording,
} from '../store/records.ts';
import { isoTimeOrNull } from '../time.ts';
import { type HeardPart, type Hearing, partRead, stretchOf } from '../transmissions/hearing.ts';
import { changesByDecoding, whileFramesStand } from '../transmissions/regroup.ts';
import type { DecodeOutcome, DecodeProgress } from './decode-runner.ts';

type ReadableOutcome = Extract<DecodeOutcome, { readable: true }>;

const REHEARSED: AudioProblem = {
  code: 'simulated',
  message: 'The file says that it is simulated: its frames are kept as rehearsal, not as flight.',
  atSeconds: null,
};

const PRACTISED: AudioProblem = {
  code: 'practice',
  message: `${PRACTICE_CALL_SIGN} is the call sign of practice: its frames are kept as rehearsal and give no readings.`,
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
    iq: recording.bandClaim?.isBand ? { centerHz: recording.bandClaim.centerHz } : null,
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
    if (!outcome.readable) return store.failDecoding(id, outcome.failure, clock());
    await whileFramesStand(services, async () => {
      await store.finishDecoding(await resultOf(services, standing, missions, outcome));
    });
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
  { summary, bursts: found }: ReadableOutcome,
): Promise<DecodingResult> {
  const finishedAt = services.clock();
  const { dating, problems } = datingOf(
    recording,
    summary,
    missions.map(({ mission }) => mission),
  );
  const { encoding, sampleRateHz, channels, simulated = false, iq } = summary.info;
  const { cutOut } = recording;
  const bursts = found.map(({ burst }, index) => {
    const stored = asStored(burst);
    return { index, burst: cutOut === null ? stored : withSaidCarrier(stored, cutOut.bursts) };
  });
  const heard = { ...recording, ...dating, problems: [...summary.problems, ...problems] };
  const hearings = found.flatMap(({ frames }, index) =>
    frames.flatMap((frame) => hearingOf(frame, bursts[index], heard, simulated, missions)),
  );
  const readAgain = cutOut && readAgainOf(cutOut, bursts);
  const rehearsed = hearings.some((hearing) => !isPractised(hearing) && hearing.phase !== recording.phase);
  const said = [...(rehearsed ? [REHEARSED] : []), ...(hearings.some(isPractised) ? [PRACTISED] : [])];
  return {
    recording: recording.id,
    decoderVersion: DECODER_VERSION,
    dating,
    audio: {
      encoding,
      sampleRateHz,
      channels,
      channel: summary.channel,
      seconds: summary.seconds,
      simulated,
      ...(iq ? { iq } : {}),
    },
    problems: [...summary.problems, ...problems, ...said, ...(readAgain === null ? [] : readOtherwise(readAgain))],
    readAgain,
    presence: summary.presence.flatMap((presence) => presenceOf(presence, missions)),
    bursts: bursts.map(({ burst }) => burst),
    changes: await changesByDecoding(services, heard, bursts, hearings, simulated),
    finishedAt,
  };
}

/** Of a cut-out: its sound is read here again, and only that counts; how far that bears out what came along is kept. */
function readAgainOf({ bursts: before }: StoredCutOut, bursts: readonly StoredBurst[]): Agreement {
  return agreementOf(
    before,
    bursts.map(({ burst }) => burst),
  );
}

/** Two other texts agree in half of their elements. */
const SAME_SHARE = 0.8;

/** A burst with what its sender says of its carrier, where the two read the same: nothing in the sound could tell. */
function withSaidCarrier(burst: Burst, before: readonly ReadBefore[]): Burst {
  const same = before.find((one) => {
    const { elements, agreeing } = agreementOf([one], [burst]);
    return one.carrier !== undefined && elements > 0 && agreeing >= SAME_SHARE * elements;
  });
  return same?.carrier === undefined ? burst : { ...burst, carrier: { ...same.carrier, saidBy: 'sender' } };
}

/** Two readings of clear sound part in hardly an element. */
const AGREEING_SHARE = 0.9;

function readOtherwise({ elements, agreeing }: Agreement): AudioProblem[] {
  if (agreeing >= AGREEING_SHARE * elements) return [];
  const message =
    `What its sender read in this cut-out and what is read in it here agree in ${agreeing} of ${elements} elements. ` +
    'Only what is read here counts.';
  return [{ code: 'read-otherwise', message, atSeconds: null }];
}

/** What is stored of a burst, so that it is decided the same now and later. */
function asStored(burst: Burst): Burst {
  return { ...burst, soft: unpackSoft(packSoft(burst.soft)) };
}

function presenceOf(presence: BeaconPresence, missions: readonly CurrentMission[]): StoredPresence[] {
  const current = missions.find(({ mission }) => mission.id === presence.mission);
  return current === undefined ? [] : [{ ...presence, version: current.version }];
}

function hearingOf(
  { mission, frame, repetitions }: FrameWithReadings,
  { index, burst }: StoredBurst,
  recording: StoredRecording,
  simulated: boolean,
  missions: readonly CurrentMission[],
): Hearing[] {
  const current = missions.find((each) => each.mission.id === mission);
  if (current === undefined) return [];
  const { version } = current;
  const decision = { mission, version, decoded: frame };
  const parts = repetitions?.map(({ belonging, slots, alone }): HeardPart => {
    const use = belonging === 'same-noise' ? 'same-noise' : 'added';
    return { ...stretchOf(slots), use, slots, alone: alone && { mission, version, decoded: alone } };
  });
  const phase = isPractice(frame.text) ? 'rehearsal' : phaseOf(recording, simulated, current);
  return [{ recording, phase, index, burst, parts: parts ?? [partRead(decision)], decision }];
}

function isPractised({ decision }: Hearing): boolean {
  return decision !== null && isPractice(decision.decoded.text);
}

/** A simulated file is never flight, except of a mission that is itself made up. */
function phaseOf({ phase }: StoredRecording, simulated: boolean, { invented }: CurrentMission): Phase {
  return simulated && phase === 'flight' && !invented ? 'rehearsal' : phase;
}

import type { BeaconPresence } from '../../../decoders/decode.ts';
import type { Reading } from '../../../decoders/engineering/types.ts';
import type { DecodedFrame } from '../../../decoders/frames/types.ts';
import type { Burst } from '../../../decoders/teletype/types.ts';
import type {
  DecodingResult,
  FrameChanges,
  HeardFrame,
  MissionChange,
  NewFrame,
  NewRecording,
} from '../../../server/store/records.ts';

/** 2031-05-04T09:00:00Z, when everything in these tests happens. */
export const NOON = Date.UTC(2031, 4, 4, 9);

const hash = (seed: number) => new Uint8Array(32).fill(seed);

export function missionChange(change: Partial<MissionChange> = {}): MissionChange {
  return {
    id: 'wren-1',
    name: 'Wren-1',
    callSign: 'Q0WREN',
    private: false,
    invented: false,
    definition: { fiveunit: 1, id: 'wren-1' },
    savedAt: NOON,
    expected: null,
    ...change,
  };
}

export function newRecording(seed: number, change: Partial<NewRecording> = {}): NewRecording {
  return {
    sha256: seed.toString(16).padStart(64, '0'),
    mission: null,
    station: 'Q1LARK',
    vouched: false,
    phase: 'flight',
    uploadedAt: NOON,
    startedAt: NOON - 600_000,
    startedAtSource: 'sender',
    timeAccuracySeconds: 1,
    timeBase: null,
    bytes: 1234,
    fileName: 'pass.wav',
    bandClaim: null,
    senderKeyHash: hash(seed),
    cutOut: null,
    ...change,
  };
}

/** A burst that prints `text`, every character sure. */
export function burstOf(text: string, startSeconds = 2): Burst {
  const count = text.length;
  return {
    startSeconds,
    endSeconds: startSeconds + count / 6,
    baud: 45.45,
    markHz: 1275,
    spaceHz: 1445,
    reversed: false,
    stopElements: 1.5,
    driftHzPerSecond: -0.5,
    ebN0Db: 14,
    soft: {
      count,
      startSeconds: Float64Array.from({ length: count }, (_, slot) => startSeconds + slot / 6),
      elementLlr: Float32Array.from({ length: 7 * count }, (_, element) => ((element % 5) - 2) * 3.25),
    },
    text,
    alternativeText: null,
    characters: [...text].map((character, slot) => ({ text: character, slot, confidence: 0.999 })),
  };
}

export function beaconPresence(change: Partial<BeaconPresence> = {}): BeaconPresence {
  return {
    mission: 'wren-1',
    markHz: 1283.5,
    spaceHz: 1453.5,
    ebN0Db: -3.25,
    transmissions: 8,
    firstSeconds: 12.25,
    lastSeconds: 432.5,
    intervalSeconds: 60.04,
    falseAlarmProbability: 1e-6,
    ...change,
  };
}

export function decodedFrame(change: Partial<DecodedFrame> = {}): DecodedFrame {
  const text = change.text ?? 'Q0WREN 7921';
  return {
    frame: 'power',
    text,
    startSeconds: 2,
    endSeconds: 4,
    complete: true,
    checksum: 'pass',
    trust: 'confirmed',
    confidence: 0.9999,
    fields: { battery: { raw: 7921, text: '7921', confidence: 0.9999 } },
    characters: [...text].map((character, slot) => ({
      text: character,
      slot,
      confidence: 0.999,
      field: slot >= 7 ? 'battery' : null,
    })),
    decision: { posterior: 0.9999, foreignNatsPerCharacter: 0.1, repaired: false, notes: [] },
    ...change,
  };
}

export function reading(value: Reading['value'], change: Partial<Reading> = {}): Reading {
  return {
    parameter: 'battery_voltage',
    value,
    unit: 'V',
    trust: 'confirmed',
    confidence: 0.9999,
    limit: 'normal',
    notes: [],
    ...change,
  };
}

export function newFrame(
  receivedAt: number | null,
  readings: readonly Reading[],
  change: Partial<NewFrame> = {},
): NewFrame {
  return {
    mission: 'wren-1',
    version: 1,
    receivedAt,
    receivedAtSource: receivedAt === null ? null : 'sender',
    receivedAtUncertaintySeconds: receivedAt === null ? null : 1,
    station: 'Q1LARK',
    vouched: true,
    phase: 'flight',
    decoded: decodedFrame(),
    readings,
    readingsVersion: 1,
    ...change,
  };
}

/** A frame heard in one place, where its characters stand. */
export function heardFrame(frame: NewFrame, recording: number, burst = 0): HeardFrame {
  const { mission, version, decoded } = frame;
  const slots = decoded.characters.map(({ slot }) => slot);
  const alone = { mission, version, decoded };
  return { frame, source: { recording, burst }, copies: [{ recording, burst, use: 'added', slots, alone }] };
}

export const NO_CHANGES: FrameChanges = { added: [], redecided: [], removed: [] };

export function decodingResult(
  recording: number,
  frames: readonly NewFrame[],
  change: Partial<DecodingResult> = {},
): DecodingResult {
  return {
    recording,
    decoderVersion: 1,
    dating: { startedAt: NOON - 600_000, startedAtSource: 'sender', timeAccuracySeconds: 1, timeBase: null },
    audio: { encoding: 'wav pcm 16', sampleRateHz: 8000, channels: 1, channel: null, seconds: 30, simulated: false },
    problems: [],
    presence: [],
    readAgain: null,
    bursts: [burstOf('Q0WREN 7921')],
    changes: { ...NO_CHANGES, added: frames.map((frame) => heardFrame(frame, recording)) },
    finishedAt: NOON,
    ...change,
  };
}

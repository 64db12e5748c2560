import type {
  FrameDetail,
  Now,
  ParameterNow,
  ReadingSeries,
  Recording,
  RecordingBurst,
  RecordingPresence,
} from '../../../server/http/messages.ts';

/** An invented moment, and what an invented satellite said then. */
export const NOW_MS = Date.UTC(2031, 4, 4, 9, 12, 0);

export const isoAt = (secondsAgo: number): string => new Date(NOW_MS - secondsAgo * 1000).toISOString();

export function parameter(change: Partial<ParameterNow> = {}): ParameterNow {
  return {
    parameter: 'battery_voltage',
    name: 'Battery voltage',
    unit: 'V',
    group: 'battery',
    role: 'battery_voltage',
    decimals: 2,
    last: {
      value: 7.921,
      time: isoAt(720),
      ageSeconds: 720,
      trust: 'confirmed',
      confidence: 0.9999,
      vouched: true,
      limit: 'normal',
      frame: 'f1',
      station: 'Q1LARK',
    },
    limit: { state: 'normal', since: isoAt(86_400), persistence: 2, pending: null, soft: [7, 8.3], hard: [6.6, 8.45] },
    ...change,
  };
}

export function now(change: Partial<Now> = {}): Now {
  return {
    mission: 'dunlin-1',
    name: 'Dunlin-1',
    callSign: 'Q0DUN',
    invented: true,
    phase: 'flight',
    at: isoAt(0),
    definitionVersion: 1,
    lastHeard: {
      receivedAt: isoAt(720),
      ageSeconds: 720,
      frame: 'f1',
      kind: 'power',
      station: 'Q1LARK',
      vouched: true,
      trust: 'confirmed',
    },
    state: 'steady',
    concerns: [],
    waitingForTime: 0,
    parameters: [parameter()],
    ...change,
  };
}

/** A series with a reading every `stepSeconds`, unless the times are given. */
export function series(values: ReadingSeries['columns']['value'], change: SeriesChange = {}): ReadingSeries {
  const { stepSeconds = 60, times, trust, vouched, ...rest } = change;
  const startMs = NOW_MS - 86_400_000;
  return {
    parameter: 'battery_voltage',
    name: 'Battery voltage',
    unit: 'V',
    group: 'battery',
    decimals: 2,
    total: values.length,
    bucketSeconds: null,
    columns: {
      time: values.map((_, i) => new Date(startMs + 1000 * (times?.[i] ?? i * stepSeconds)).toISOString()),
      value: values,
      trust: values.map((_, i) => trust?.[i] ?? 'confirmed'),
      confidence: values.map(() => 0.9999),
      limit: values.map(() => 'normal'),
      vouched: values.map((_, i) => vouched?.[i] ?? true),
      frame: values.map((_, i) => `f${i + 1}`),
    },
    ...rest,
  };
}

interface SeriesChange extends Partial<Omit<ReadingSeries, 'columns'>> {
  readonly stepSeconds?: number;
  /** Seconds from the start of the series. */
  readonly times?: readonly number[];
  readonly trust?: readonly ReadingSeries['columns']['trust'][number][];
  readonly vouched?: readonly boolean[];
}

export function recording(change: Partial<Recording> = {}): Recording {
  return {
    id: 'r7',
    sha256: 'ab'.repeat(32),
    status: 'decoded',
    progress: 1,
    bursts: 1,
    frames: 1,
    mission: 'dunlin-1',
    station: 'Q1LARK',
    vouched: true,
    phase: 'flight',
    uploadedAt: isoAt(600),
    startedAt: isoAt(1200),
    startedAtSource: 'sender',
    timeAccuracySeconds: 2,
    timeBase: null,
    needsTime: false,
    bytes: 960_044,
    fileName: null,
    audio: {
      encoding: 'wav pcm 16',
      sampleRateHz: 48_000,
      channels: 1,
      channel: null,
      seconds: 10,
      simulated: false,
      iq: null,
    },
    problems: [],
    presence: [],
    decoderVersion: 1,
    yours: false,
    ...change,
  };
}

export function presence(change: Partial<RecordingPresence> = {}): RecordingPresence {
  return {
    mission: 'dunlin-1',
    version: 3,
    markHz: 1283.4,
    spaceHz: 1453.4,
    ebN0Db: -3.14,
    transmissions: 8,
    firstSeconds: 12.25,
    lastSeconds: 432.5,
    intervalSeconds: 60.04,
    falseAlarmProbability: 4.2e-5,
    ...change,
  };
}

const llrs = (code: number, strength: number): number[] => [
  -strength,
  ...[0, 1, 2, 3, 4].map((bit) => ((code >> bit) & 1 ? strength : -strength)),
  strength,
];

/** A burst that reads `QA`: codes 23 and 3 of ITA2, after a letters shift, 31. */
export function burst(change: Partial<RecordingBurst> = {}): RecordingBurst {
  return {
    index: 0,
    startSeconds: 1,
    endSeconds: 2,
    baud: 45.45,
    markHz: 1275,
    spaceHz: 1445,
    reversed: false,
    stopElements: 1.5,
    driftHzPerSecond: 0,
    ebN0Db: 12,
    carrier: null,
    withheld: false,
    audible: null,
    text: 'QA',
    alternativeText: null,
    characters: [
      { text: 'Q', slot: 1, confidence: 0.999 },
      { text: 'A', slot: 2, confidence: 0.4 },
    ],
    slots: [31, 23, 3].map((code, slot) => ({ slot, startSeconds: 1 + slot * 0.165, elements: llrs(code, 8) })),
    frames: [],
    ...change,
  };
}

export function frame(change: Partial<FrameDetail> = {}): FrameDetail {
  return {
    id: 'f1',
    mission: 'dunlin-1',
    frame: 'power',
    receivedAt: isoAt(720),
    receivedAtSource: 'sender',
    receivedAtUncertaintySeconds: null,
    addedAt: isoAt(700),
    station: 'Q1LARK',
    vouched: true,
    phase: 'flight',
    source: 'line',
    recording: null,
    text: 'Q0DUN 7921',
    complete: true,
    checksum: 'pass',
    trust: 'confirmed',
    confidence: 0.9999,
    fields: { battery: { raw: 7921, text: '7921', confidence: 0.9999 } },
    characters: [...'Q0DUN 7921'].map((text, slot) => ({
      text,
      slot,
      confidence: 0.999,
      field: slot > 5 ? 'battery' : null,
    })),
    decision: { posterior: 0.9999, foreignNatsPerCharacter: 0, repaired: false, notes: [] },
    readings: [
      {
        parameter: 'battery_voltage',
        value: 7.921,
        unit: 'V',
        trust: 'confirmed',
        confidence: 0.9999,
        limit: 'normal',
        notes: [],
      },
    ],
    definition: { version: 1, readingsVersion: 1 },
    origin: { source: 'line', line: 'q0dun 7921', assumptions: ['Lower case was read as upper case.'] },
    ...change,
  };
}

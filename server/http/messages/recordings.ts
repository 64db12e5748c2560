import { type Static, Type } from 'typebox';
import {
  CallSign,
  ChecksumState,
  Cursor,
  FrameId,
  IsoTime,
  MissionId,
  orNull,
  Phase,
  Probability,
  RecordingId,
  Trust,
} from './common.ts';

export const RecordingStatus = Type.Enum(['waiting', 'decoding', 'decoded', 'failed']);
export type RecordingStatus = Static<typeof RecordingStatus>;

/** A mission's id, or `any`: whichever of the server's missions it holds. */
export const MissionChoice = Type.Union([Type.Literal('any'), MissionId]);

/** Time accuracy in seconds: at most a day, else the time says nothing. */
const TimeAccuracySeconds = Type.Number({ minimum: 0, maximum: 86_400 });

/** Whether seconds of the recording are seconds of time. */
const TimeBase = Type.Enum(['continuous', 'gaps'], {
  description: 'gaps: the recorder skips silence, or files were joined; only the first minutes have a sure time then',
});

/** How the receiver of a complex band was tuned, and by how much its reference may be off. */
const Tuning = Type.Enum(['fixed', 'doppler-corrected', 'retuned', 'unknown'], {
  description:
    'fixed to one frequency; led along with the expected Doppler, which then is not in the recording; or retuned in steps ' +
    'that the file states',
});
const CenterHz = Type.Number({ description: 'frequency at the middle of the band, for `iq`' });
const ReferenceErrorPpm = Type.Number({ minimum: 0, maximum: 1000 });

/** The fields beside `file` in the multipart body of `POST /api/recordings`. */
export const RecordingFields = Type.Object(
  {
    mission: MissionChoice,
    station: CallSign,
    startedAt: Type.Optional(IsoTime),
    timeAccuracySeconds: Type.Optional(TimeAccuracySeconds),
    timeBase: Type.Optional(TimeBase),
    phase: Type.Optional(Phase),
    iq: Type.Optional(
      Type.Boolean({
        description:
          'the two channels are I and Q of one complex band; SigMF says so itself, and some others are recognised. A SigMF ' +
          'pair is sent as its archive',
      }),
    ),
    centerHz: Type.Optional(CenterHz),
    tuning: Type.Optional(Tuning),
    referenceErrorPpm: Type.Optional(ReferenceErrorPpm),
  },
  { title: 'RecordingFields', additionalProperties: false },
);
export type RecordingFields = Static<typeof RecordingFields>;

/** 202 for a new recording, 200 with the same id for the same bytes again. */
export const RecordingAccepted = Type.Object(
  {
    id: RecordingId,
    sha256: Type.String({ pattern: '^[0-9a-f]{64}$' }),
    status: RecordingStatus,
    senderKey: Type.Optional(
      Type.String({
        description:
          'given once, for a new recording only: as a bearer token it lets its sender see all of this recording, give its time, delete it',
      }),
    ),
  },
  { title: 'RecordingAccepted' },
);
export type RecordingAccepted = Static<typeof RecordingAccepted>;

export const RecordingProblem = Type.Object({
  code: Type.String(),
  message: Type.String(),
  atSeconds: orNull(Type.Number()),
});
export type RecordingProblem = Static<typeof RecordingProblem>;

/** A mission's beacon was there, too faint to be read: transmissions keyed as its own came at its interval. */
export const RecordingPresence = Type.Object({
  mission: MissionId,
  version: Type.Integer({ minimum: 1, description: 'of the definition that it was looked for by' }),
  markHz: Type.Number(),
  spaceHz: Type.Number(),
  ebN0Db: Type.Number({ description: 'mean over the transmissions that were made out' }),
  transmissions: Type.Integer({ minimum: 1, description: 'transmissions that were made out' }),
  firstSeconds: Type.Number(),
  lastSeconds: Type.Number(),
  intervalSeconds: Type.Number(),
  falseAlarmProbability: Type.Number({
    minimum: 0,
    maximum: 1,
    description:
      'that noise alone shows as much; another sender of the same keying, tones, interval and similar text is no noise',
  }),
});
export type RecordingPresence = Static<typeof RecordingPresence>;

/** Given of bursts that were cut out of a complex band and made heard: what is known of it is its sender's word. */
export const CutOutBand = Type.Object(
  {
    centerHz: orNull(Type.Number({ description: 'frequency at the middle of the band, in the first of its captures' })),
    tuning: Tuning,
    referenceErrorPpm: orNull(ReferenceErrorPpm),
  },
  { additionalProperties: false },
);
export type CutOutBand = Static<typeof CutOutBand>;

/** Given of bursts that their sender cut out of a longer recording and read first. */
export const CutOut = Type.Object({
  software: Type.String({ description: 'the program that the sender read them with' }),
  decoderVersion: Type.Integer({ description: 'of that program' }),
  source: Type.Object({
    sha256: orNull(Type.String({ description: 'of the recording that they were cut out of' })),
    startSeconds: Type.Number({ description: 'where in it the cut-out begins' }),
  }),
  band: orNull(CutOutBand),
  bursts: Type.Integer({ minimum: 1, description: 'as many as the sender read in it' }),
  readAgain: orNull(
    Type.Object(
      { elements: Type.Integer(), agreeing: Type.Integer() },
      {
        description:
          "how many of the sender's data elements the server's own reading bears out; frames come of the latter alone",
      },
    ),
  ),
});
export type CutOut = Static<typeof CutOut>;

/** `GET /api/recordings/{id}` */
export const Recording = Type.Object(
  {
    id: RecordingId,
    sha256: Type.String(),
    status: RecordingStatus,
    progress: Probability,
    bursts: Type.Integer({ minimum: 0 }),
    frames: Type.Integer({ minimum: 0 }),
    error: Type.Optional(Type.Object({ code: Type.String(), message: Type.String() })),
    mission: MissionChoice,
    station: Type.String(),
    vouched: Type.Boolean({ description: 'a known station or the team stands for it' }),
    phase: Phase,
    uploadedAt: IsoTime,
    startedAt: orNull(IsoTime),
    startedAtSource: orNull(
      Type.String({ description: '`sender`, `file name`, or the part of the file that says it, for instance `bext`' }),
    ),
    timeAccuracySeconds: orNull(
      Type.Number({ description: 'the start is known to so many seconds; half a day where no time zone was stated' }),
    ),
    timeBase: orNull(TimeBase),
    needsTime: Type.Boolean({
      description: 'decoded, but nobody said when it was recorded: its readings wait outside the trends',
    }),
    bytes: Type.Integer({ minimum: 0 }),
    fileName: orNull(Type.String({ description: "the sender's name for it; for its sender and the team only" })),
    audio: orNull(
      Type.Object({
        encoding: Type.String(),
        sampleRateHz: Type.Number(),
        channels: Type.Integer({ minimum: 1 }),
        channel: orNull(Type.Integer({ description: 'the channel that was decoded; null when there was only one' })),
        seconds: Type.Number({ minimum: 0 }),
        simulated: Type.Boolean({ description: 'the file says that nobody ever sent it' }),
        iq: orNull(
          Type.Object(
            {
              captures: Type.Integer({ minimum: 1, description: 'stretches received in one go, at one tuning' }),
              centerHz: orNull(
                Type.Number({ description: 'frequency at the middle of the band, in the first of them' }),
              ),
              tuning: Tuning,
              tuningSource: orNull(Type.Enum(['sender', 'file'])),
              referenceErrorPpm: orNull(
                Type.Number({ description: "by how much the receiver's reference may be off; null when unknown" }),
              ),
            },
            { description: 'given when the first two channels are I and Q of a complex band; null for sound' },
          ),
        ),
      }),
    ),
    problems: Type.Array(RecordingProblem),
    presence: Type.Array(RecordingPresence, {
      description: 'beacons that are present but not readable, of missions of which nothing was read',
    }),
    decoderVersion: orNull(Type.Integer()),
    cutOut: Type.Optional(CutOut),
    yours: Type.Boolean({ description: 'the key sent along may change, delete and see all of it' }),
  },
  { title: 'Recording' },
);
export type Recording = Static<typeof Recording>;

/** `GET /api/recordings`, newest first. */
export const RecordingListQuery = Type.Object(
  {
    limit: Type.Optional(Type.Integer({ minimum: 1, maximum: 200, default: 50 })),
    after: Type.Optional(Cursor),
    mission: Type.Optional(MissionChoice),
    station: Type.Optional(CallSign),
    sha256: Type.Optional(
      Type.String({ pattern: '^[0-9a-f]{64}$', description: 'only the recording of these bytes, if it is here' }),
    ),
  },
  { additionalProperties: false },
);
export const RecordingList = Type.Object(
  { recordings: Type.Array(Recording), next: orNull(Cursor) },
  { title: 'RecordingList' },
);
export type RecordingList = Static<typeof RecordingList>;

/** `PATCH /api/recordings/{id}`: what is given is changed; the frames and readings are dated anew, or all is read again. */
export const RecordingChange = Type.Object(
  {
    startedAt: Type.Optional(orNull(IsoTime)),
    timeAccuracySeconds: Type.Optional(orNull(TimeAccuracySeconds)),
    timeBase: Type.Optional(orNull(TimeBase)),
    iq: Type.Optional(
      Type.Boolean({ description: 'the two channels are I and Q; a change decodes the recording again' }),
    ),
    centerHz: Type.Optional(CenterHz),
    tuning: Type.Optional(Tuning),
    referenceErrorPpm: Type.Optional(orNull(ReferenceErrorPpm)),
  },
  { title: 'RecordingChange', additionalProperties: false, minProperties: 1 },
);
export type RecordingChange = Static<typeof RecordingChange>;

/** A printed character of a burst or frame. */
export const TapeCharacter = Type.Object({
  text: Type.String(),
  slot: Type.Integer({ minimum: 0, description: 'the slot of the burst it came from' }),
  confidence: Probability,
});
export type TapeCharacter = Static<typeof TapeCharacter>;

/** One character slot of a burst: a column of the tape. */
export const TapeSlot = Type.Object({
  slot: Type.Integer({ minimum: 0 }),
  startSeconds: Type.Number({ description: 'start of the start element, from the start of the recording' }),
  elements: Type.Array(Type.Number(), {
    minItems: 7,
    maxItems: 7,
    description:
      'log-likelihood ratios ln p(mark)/p(space), positive = mark: start, five data elements in sending order, stop',
  }),
});
export type TapeSlot = Static<typeof TapeSlot>;

/** A frame where it stands in its burst. */
export const BurstFrame = Type.Object({
  id: FrameId,
  mission: MissionId,
  frame: Type.String(),
  text: Type.String(),
  startSeconds: Type.Number(),
  endSeconds: Type.Number(),
  complete: Type.Boolean(),
  checksum: ChecksumState,
  trust: Trust,
  confidence: Probability,
  characters: Type.Array(
    Type.Object({
      ...TapeCharacter.properties,
      field: orNull(Type.String({ description: 'null for literals and checksums' })),
    }),
  ),
});
export type BurstFrame = Static<typeof BurstFrame>;

/** Where the carrier of a burst stood in a complex band, in Hz from its middle, which is `absoluteHz` less `carrierHz`. */
export const BurstCarrier = Type.Object({
  source: Type.Enum(['recording', 'sender'], {
    description:
      'measured in this recording; or the word of who cut the burst out of a band, with a reading that its sound bears out',
  }),
  modulation: Type.Enum(['fsk', 'fm'], { description: 'keyed itself, or carrying the two tones in frequency' }),
  seconds: Type.Number({ description: 'the time for which the figures hold, from the start of the recording' }),
  carrierHz: Type.Number(),
  absoluteHz: orNull(Type.Number({ description: 'on the air; null where the middle of the band is not known' })),
  driftHzPerSecond: Type.Number(),
  uncertaintyHz: Type.Number({ description: "standard deviation by noise; the receiver's reference is not in it" }),
  track: Type.Array(Type.Object({ seconds: Type.Number(), carrierHz: Type.Number(), uncertaintyHz: Type.Number() }), {
    description: 'about one point a second',
  }),
});
export type BurstCarrier = Static<typeof BurstCarrier>;

/** What is measured of a burst's signal. */
export const BURST_FACTS = {
  index: Type.Integer({ minimum: 0 }),
  startSeconds: Type.Number(),
  endSeconds: Type.Number(),
  baud: Type.Number(),
  markHz: Type.Number(),
  spaceHz: Type.Number(),
  reversed: Type.Boolean(),
  stopElements: Type.Number(),
  driftHzPerSecond: Type.Number(),
  ebN0Db: Type.Number(),
  carrier: orNull(BurstCarrier),
};

export const RecordingBurst = Type.Object(
  {
    ...BURST_FACTS,
    withheld: Type.Boolean({
      description:
        'text that fits no layout is for the sender and the team: characters and slots outside frames are left out',
    }),
    audible: orNull(
      Type.Object(
        { startSeconds: Type.Number(), endSeconds: Type.Number() },
        { description: 'the stretch that `GET /api/recordings/{id}/bursts/{index}/audio` gives to the key sent along' },
      ),
    ),
    text: Type.String(),
    alternativeText: orNull(
      Type.String({
        description: 'the text if spaces return to letters (or not), where nothing decides; for sender and team',
      }),
    ),
    characters: Type.Array(TapeCharacter),
    slots: Type.Array(TapeSlot),
    frames: Type.Array(BurstFrame),
  },
  { title: 'RecordingBurst' },
);
export type RecordingBurst = Static<typeof RecordingBurst>;

/** `GET /api/recordings/{id}/bursts`, in the order of the recording. */
export const RecordingBursts = Type.Object(
  { recording: RecordingId, bursts: Type.Array(RecordingBurst) },
  { title: 'RecordingBursts' },
);
export type RecordingBursts = Static<typeof RecordingBursts>;

/** `GET /api/recordings/{id}/stretch`: seconds from the start of the recording. */
export const StretchQuery = Type.Object(
  {
    from: Type.Number({ minimum: 0 }),
    to: Type.Number({ minimum: 0 }),
    pieces: Type.Optional(
      Type.Integer({
        minimum: 1,
        maximum: 1024,
        description: 'only so many pieces of 64 ms, from the middles of equal parts of the stretch, end to end',
      }),
    ),
  },
  { additionalProperties: false },
);

/** Mono WAV, 16 bits, 8000 samples a second, without anything that the recording's own file says of itself. */
export const WavFile = Type.Unsafe<Uint8Array>(Type.String({ contentMediaType: 'audio/wav' }));

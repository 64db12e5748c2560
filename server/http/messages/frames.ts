import { type Static, Type } from 'typebox';
import {
  CallSign,
  ChecksumState,
  Cursor,
  FrameId,
  IsoTime,
  LimitState,
  MissionId,
  Notice,
  orNull,
  Phase,
  Probability,
  RawValue,
  RecordingId,
  Trust,
} from './common.ts';
import { BURST_FACTS, BurstFrame, TapeSlot } from './recordings.ts';

/** Longest text that may be sent at once: many frames' worth, yet nothing that costs seconds to read. */
export const LINE_CHARACTERS_MAX = 1000;

/** `POST /api/frames`: a line as somebody read or typed it. */
export const FrameUpload = Type.Object(
  {
    mission: MissionId,
    station: CallSign,
    receivedAt: orNull(IsoTime),
    text: Type.String({ minLength: 1, maxLength: LINE_CHARACTERS_MAX }),
    phase: Type.Optional(Phase),
  },
  { title: 'FrameUpload', additionalProperties: false },
);
export type FrameUpload = Static<typeof FrameUpload>;

export const FrameField = Type.Object({
  raw: RawValue,
  text: Type.String({ description: 'as printed in the frame; empty when unreadable' }),
  confidence: Probability,
});
export type FrameField = Static<typeof FrameField>;

export const FrameFields = Type.Record(Type.String(), FrameField);
export type FrameFields = Static<typeof FrameFields>;

export const FrameReading = Type.Object({
  parameter: Type.String(),
  value: RawValue,
  unit: orNull(Type.String()),
  trust: Trust,
  confidence: Probability,
  limit: LimitState,
  notes: Type.Array(Type.String({ description: 'what had to be assumed' })),
});
export type FrameReading = Static<typeof FrameReading>;

const acceptedFrame = {
  id: FrameId,
  trust: Trust,
  frame: Type.String(),
  text: Type.String(),
  checksum: ChecksumState,
  fields: FrameFields,
  readings: Type.Array(FrameReading),
  problems: Type.Array(Notice, { description: 'what was assumed to read the line, and what stayed unreadable' }),
};

/** 201 for a new line, 200 for the same line again. */
export const FrameAccepted = Type.Object(
  {
    ...acceptedFrame,
    more: Type.Array(Type.Object(acceptedFrame), { description: 'further frames of the same text' }),
  },
  { title: 'FrameAccepted' },
);
export type FrameAccepted = Static<typeof FrameAccepted>;

const frameSummary = {
  id: FrameId,
  mission: MissionId,
  frame: Type.String(),
  receivedAt: orNull(IsoTime),
  receivedAtSource: orNull(
    Type.String({ description: 'who says when: `sender`, `file name`, or the part of the recording that says it' }),
  ),
  receivedAtUncertaintySeconds: orNull(Type.Number({ description: 'null where nobody says how exact the time is' })),
  addedAt: IsoTime,
  station: Type.String(),
  vouched: Type.Boolean(),
  phase: Phase,
  source: Type.Enum(['recording', 'line']),
  recording: orNull(RecordingId),
  text: Type.String(),
  complete: Type.Boolean(),
  checksum: ChecksumState,
  trust: Trust,
  confidence: Probability,
  fields: FrameFields,
};

/** A frame in a list. */
export const FrameSummary = Type.Object(frameSummary, { title: 'FrameSummary' });
export type FrameSummary = Static<typeof FrameSummary>;

/** `GET /api/missions/{id}/frames`, newest first; frames without a time come last. */
export const FrameListQuery = Type.Object(
  {
    from: Type.Optional(IsoTime),
    to: Type.Optional(IsoTime),
    station: Type.Optional(CallSign),
    trust: Type.Optional(
      Type.Enum(['confirmed', 'probable', 'doubtful'], { description: 'the least trust; without it all' }),
    ),
    phase: Type.Optional(Phase),
    limit: Type.Optional(Type.Integer({ minimum: 1, maximum: 500, default: 100 })),
    after: Type.Optional(Cursor),
  },
  { additionalProperties: false },
);
export const FrameList = Type.Object(
  { frames: Type.Array(FrameSummary), next: orNull(Cursor) },
  { title: 'FrameList' },
);
export type FrameList = Static<typeof FrameList>;

export const FrameDecision = Type.Object({
  posterior: Type.Number(),
  foreignNatsPerCharacter: Type.Number(),
  repaired: Type.Boolean({ description: 'the best free reading differs from the accepted one' }),
  notes: Type.Array(Type.String()),
});
export type FrameDecision = Static<typeof FrameDecision>;

/** One of the places where a frame was heard. */
export const FrameCopy = Type.Object({
  station: Type.String(),
  vouched: Type.Boolean(),
  recording: RecordingId,
  burst: Type.Integer({ minimum: 0 }),
  startSeconds: Type.Number({ description: 'where the frame begins, from the start of the recording' }),
  endSeconds: Type.Number(),
  ebN0Db: Type.Number(),
  use: Type.Enum(['added', 'same-noise', 'unvouched'], {
    description:
      'added: takes part in the decision; same-noise: a clearer recording holds the same noise, so it counts once; unvouched: not needed beside copies that somebody vouches for',
  }),
  alone: orNull(
    Type.Object(
      { frame: Type.String(), text: Type.String(), trust: Trust, confidence: Probability },
      { description: 'what this copy gives by itself; null where nothing was read in it' },
    ),
  ),
});
export type FrameCopy = Static<typeof FrameCopy>;

/** Where a frame came from: a stretch of a recording, or a line that somebody sent. */
export const FrameOrigin = Type.Union([
  Type.Object({
    source: Type.Literal('recording'),
    recording: Type.Object({
      id: RecordingId,
      sha256: Type.String(),
      startedAt: orNull(IsoTime),
      startedAtSource: orNull(Type.String()),
      timeAccuracySeconds: orNull(Type.Number()),
    }),
    decoderVersion: Type.Integer(),
    startSeconds: Type.Number(),
    endSeconds: Type.Number(),
    burst: Type.Object(BURST_FACTS),
    slots: Type.Array(TapeSlot, { description: "the tape under this frame's characters" }),
    copies: Type.Array(FrameCopy, {
      description: 'where it was heard, this place first; several were decided together',
    }),
  }),
  Type.Object({
    source: Type.Literal('line'),
    line: orNull(Type.String({ description: 'as it was sent; for private lines and others than its sender null' })),
    assumptions: Type.Array(Type.String()),
  }),
]);
export type FrameOrigin = Static<typeof FrameOrigin>;

/** `GET /api/frames/{id}`: the frame with its whole origin. */
export const FrameDetail = Type.Object(
  {
    ...frameSummary,
    characters: BurstFrame.properties.characters,
    decision: FrameDecision,
    readings: Type.Array(FrameReading),
    definition: Type.Object({
      version: Type.Integer({ description: 'version of the mission definition whose layout read the text' }),
      readingsVersion: Type.Integer({ description: 'version whose calibrations and limits gave the readings' }),
    }),
    origin: FrameOrigin,
  },
  { title: 'FrameDetail' },
);
export type FrameDetail = Static<typeof FrameDetail>;

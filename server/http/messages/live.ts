import { type Static, Type } from 'typebox';
import { IsoTime, MissionId, orNull, Probability, RecordingId, Trust } from './common.ts';
import { FrameSummary } from './frames.ts';
import { RecordingStatus } from './recordings.ts';

/**
 * `GET /api/live` (WebSocket). Events carry a rising `seq`; connect with `?since=SEQ` to get what was missed. A browser
 * sends a key as the subprotocol `key.` + base64url(key) beside `fiveunit.live`, others as a bearer token.
 */
export const LiveQuery = Type.Object(
  { since: Type.Optional(Type.Integer({ minimum: 0 })) },
  { additionalProperties: false },
);

const seq = Type.Integer({ minimum: 0 });

/** First message of a connection: where the count stands. */
export const LiveHello = Type.Object({ type: Type.Literal('hello'), seq });

/** What was missed is no longer kept: load everything anew, then go on from `seq`. */
export const LiveReset = Type.Object({ type: Type.Literal('reset'), seq });

/** A mission was added, or has a new definition; `recalculated` when all its readings follow that definition. */
export const LiveMission = Type.Object({
  type: Type.Literal('mission'),
  seq,
  at: IsoTime,
  mission: MissionId,
  version: Type.Integer(),
  change: Type.Enum(['saved', 'recalculated']),
});

/** A recording came, changed its state or time, or was deleted. */
export const LiveRecording = Type.Object({
  type: Type.Literal('recording'),
  seq,
  at: IsoTime,
  recording: RecordingId,
  status: Type.Union([RecordingStatus, Type.Literal('deleted')]),
  missions: Type.Array(MissionId, { description: 'whose readings changed with it' }),
});

/** How far the decoding of a recording is. Passing: it is not sent again, and `seq` is that of the event before it. */
export const LiveProgress = Type.Object({
  type: Type.Literal('progress'),
  seq,
  recording: RecordingId,
  progress: Probability,
  seconds: Type.Number({ description: 'decoded so far, in seconds of the recording' }),
  bursts: Type.Integer({ minimum: 0 }),
  frames: Type.Integer({ minimum: 0 }),
  lastText: orNull(Type.String({ description: 'text of the frame found last' })),
});

/** A frame was stored, with its readings. */
export const LiveFrame = Type.Object({ type: Type.Literal('frame'), seq, at: IsoTime, frame: FrameSummary });

const FrameState = Type.Object({
  text: Type.String(),
  trust: Trust,
  copies: Type.Integer({ minimum: 1, description: 'places where the frame was heard' }),
});

/**
 * A frame was decided anew, because another recording of its transmission came, or one went: what it was, and what that
 * made of it. `frame` is how it stands now.
 */
export const LiveFrameRedecided = Type.Object({
  type: Type.Literal('frame-redecided'),
  seq,
  at: IsoTime,
  frame: FrameSummary,
  before: FrameState,
  after: FrameState,
});

export const LiveEvent = Type.Union(
  [LiveHello, LiveReset, LiveMission, LiveRecording, LiveProgress, LiveFrame, LiveFrameRedecided],
  { title: 'LiveEvent' },
);
export type LiveEvent = Static<typeof LiveEvent>;

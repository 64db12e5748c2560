import { type Static, Type } from 'typebox';
import { CallSign, IsoTime, orNull, Phase, Probability, RecordingId, Trust } from './common.ts';
import { MissionChoice } from './recordings.ts';

/** How the samples of a stream may lie; all little-endian. */
export const StreamEncoding = Type.Enum(['u8', 's16le', 's24le', 's32le', 'f32le', 'f64le', 'alaw', 'mulaw']);

/**
 * `GET /api/listen` (WebSocket, stations with a key). First message of a client: what it is going to send. Binary messages
 * with whole samples follow.
 */
export const ListenHeader = Type.Object(
  {
    type: Type.Literal('listen'),
    rate: Type.Number({ minimum: 8000, maximum: 192_000, description: 'samples a second' }),
    encoding: StreamEncoding,
    mission: MissionChoice,
    station: Type.Optional(CallSign),
    phase: Type.Optional(Phase),
    startedAt: Type.Optional(IsoTime),
    session: Type.Optional(
      Type.String({ pattern: '^[A-Za-z0-9_-]{10,60}$', description: 'goes on with this session after a cut' }),
    ),
  },
  { title: 'ListenHeader', additionalProperties: false },
);
export type ListenHeader = Static<typeof ListenHeader>;

/** The client sends no more: what was heard is read to its end. */
export const ListenEnd = Type.Object({ type: Type.Literal('end') }, { additionalProperties: false });

export const ListenRequest = Type.Union([ListenHeader, ListenEnd], { title: 'ListenRequest' });
export type ListenRequest = Static<typeof ListenRequest>;

const samples = Type.Integer({ minimum: 0, description: 'samples of the session' });

/** Go on from this sample; have no more samples than `window` on the way that were not acknowledged. */
export const ListenReady = Type.Object({
  type: Type.Literal('ready'),
  session: Type.String(),
  samples,
  window: Type.Integer({ minimum: 1 }),
});

/** So many samples of the session have been decoded. */
export const ListenAck = Type.Object({ type: Type.Literal('ack'), samples });

export const ListenAcquired = Type.Object({
  type: Type.Literal('acquired'),
  reception: Type.Integer({ minimum: 0 }),
  startSeconds: Type.Number(),
  baud: Type.Number(),
  markHz: Type.Number(),
  spaceHz: Type.Number(),
});

export const ListenCharacter = Type.Object({
  type: Type.Literal('character'),
  provisional: Type.Literal(true),
  reception: Type.Integer({ minimum: 0 }),
  startSeconds: Type.Number(),
  text: Type.String(),
  confidence: Probability,
});

/** A burst was read as a whole; it has become a recording, whose frames come over `/api/live` as any other's. */
export const ListenBurst = Type.Object({
  type: Type.Literal('burst'),
  startSeconds: Type.Number(),
  endSeconds: Type.Number(),
  text: Type.String(),
  receptions: Type.Array(Type.Integer({ minimum: 0 })),
  frames: Type.Array(
    Type.Object({
      mission: Type.String(),
      frame: Type.String(),
      text: Type.String(),
      trust: Trust,
      confidence: Probability,
    }),
  ),
});

export const ListenKept = Type.Object({ type: Type.Literal('kept'), recording: RecordingId, startedAt: IsoTime });

export const ListenEnded = Type.Object({ type: Type.Literal('ended') });

/** Why the session is closed. */
export const ListenRefused = Type.Object({
  type: Type.Literal('refused'),
  code: Type.String(),
  detail: Type.String(),
  at: orNull(Type.String()),
});

export const ListenNote = Type.Union(
  [ListenReady, ListenAck, ListenAcquired, ListenCharacter, ListenBurst, ListenKept, ListenEnded, ListenRefused],
  { title: 'ListenNote' },
);
export type ListenNote = Static<typeof ListenNote>;

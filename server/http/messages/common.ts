import { type Static, type TSchema, Type } from 'typebox';
import { CALL_SIGN_PATTERN } from '../../call-sign.ts';

/** A value that may be absent: `null` is said, never left out. */
export function orNull<T extends TSchema>(schema: T) {
  return Type.Union([schema, Type.Null()]);
}

/** ISO 8601 with a zone; what the server writes is UTC with milliseconds (`2031-05-04T09:12:07.000Z`). */
export const IsoTime = Type.String({ format: 'date-time', maxLength: 40 });

/** Whether the text was read right. */
export const Trust = Type.Enum(['confirmed', 'probable', 'doubtful'], {
  description:
    'confirmed: proved by a checksum or by independent copies; probable: certain in itself; doubtful: kept out of trends and limits',
});
export type Trust = Static<typeof Trust>;

export const ChecksumState = Type.Enum(['pass', 'fail', 'none']);
export type ChecksumState = Static<typeof ChecksumState>;

export const LimitState = orNull(Type.Enum(['normal', 'soft', 'hard'], { description: 'null: without limits' }));
export type LimitState = Static<typeof LimitState>;

/** Trends, alarms and exports never mix phases. */
export const Phase = Type.Enum(['bench', 'rehearsal', 'flight']);
export type Phase = Static<typeof Phase>;

/** Number for digits, hex, letters and symbols; text for `oneOf`; null for "no value" or unreadable. */
export const RawValue = Type.Union([Type.Number(), Type.String(), Type.Null()]);
export type RawValue = Static<typeof RawValue>;

export const Probability = Type.Number({ minimum: 0, maximum: 1 });

/** A call sign as people type it; the server stores it in upper case. */
export const CallSign = Type.String({
  pattern: CALL_SIGN_PATTERN,
  description: 'up to three parts of letters and digits between slashes, for instance Q1LARK/P',
});

export const MissionId = Type.String({
  pattern: '^[a-z0-9][a-z0-9-]{0,63}$',
  description: 'lower-case letters, digits and hyphens',
});

export const RecordingId = Type.String({ pattern: '^r[0-9]{1,15}$' });
export const FrameId = Type.String({ pattern: '^f[0-9]{1,15}$' });

/** Where the next page begins: give it back as `after`. */
export const Cursor = Type.String({ minLength: 1, maxLength: 80, pattern: '^[A-Za-z0-9_.-]+$' });

/** Something that was wrong with what came in, though it could be used. */
export const Notice = Type.Object({
  code: Type.String({ description: 'stable, kebab-case' }),
  message: Type.String(),
});
export type Notice = Static<typeof Notice>;

/** One thing wrong with a mission definition. */
export const DefinitionFault = Type.Object({
  code: Type.String(),
  path: Type.String({ description: 'where in the definition, for instance frames[0].layout[3].digits' }),
  found: Type.String(),
  expected: Type.String(),
  severity: Type.Enum(['fault', 'warning']),
});
export type DefinitionFault = Static<typeof DefinitionFault>;

/** The layout that came nearest to a line that fits none. */
export const NearestLayout = Type.Object({
  frame: Type.String(),
  at: Type.Integer({ minimum: 0, description: 'characters of the line that fitted' }),
  expected: Type.String({ description: 'characters that the layout takes there; empty when the frame ends there' }),
});
export type NearestLayout = Static<typeof NearestLayout>;

/** RFC 9457 problem details, with a stable `code`. */
export const Problem = Type.Object(
  {
    type: Type.String({ description: 'URI reference that names the kind of problem' }),
    title: Type.String(),
    status: Type.Integer(),
    detail: Type.String({ description: 'what was given, what may be, what to do' }),
    code: Type.String({ description: 'stable, kebab-case' }),
    at: Type.Optional(
      Type.String({ description: 'the part of the request that is meant, for instance body/receivedAt' }),
    ),
    limit: Type.Optional(Type.Number({ description: 'the limit that was passed' })),
    retryAfterSeconds: Type.Optional(Type.Number()),
    faults: Type.Optional(Type.Array(DefinitionFault)),
    nearest: Type.Optional(orNull(NearestLayout)),
    version: Type.Optional(Type.Integer({ description: 'the version that stands' })),
  },
  { title: 'Problem' },
);
export type Problem = Static<typeof Problem>;

import { type Static, Type } from 'typebox';
import { FrameId, IsoTime, LimitState, MissionId, orNull, Phase, Probability, RawValue, Trust } from './common.ts';

/** `GET /api/missions/{id}/readings` */
export const ReadingsQuery = Type.Object(
  {
    parameter: Type.Array(Type.String({ minLength: 1, maxLength: 100 }), {
      minItems: 1,
      maxItems: 40,
      description: 'may stand several times',
    }),
    from: Type.Optional(IsoTime),
    to: Type.Optional(IsoTime),
    points: Type.Optional(
      Type.Integer({ minimum: 4, maximum: 5000, default: 1000, description: 'about so many points a parameter' }),
    ),
    trust: Type.Optional(
      Type.Enum(['confirmed', 'probable', 'doubtful'], { description: 'the least trust', default: 'probable' }),
    ),
    phase: Type.Optional(Phase),
    vouched: Type.Optional(Type.Boolean({ description: 'true: only readings that somebody vouches for' })),
  },
  { additionalProperties: false },
);

/** Readings of one parameter as columns of equal length, oldest first. */
export const ReadingSeries = Type.Object(
  {
    parameter: Type.String(),
    name: Type.String(),
    unit: orNull(Type.String()),
    group: orNull(Type.String()),
    decimals: orNull(Type.Integer()),
    total: Type.Integer({ minimum: 0, description: 'readings in the range before thinning' }),
    bucketSeconds: orNull(
      Type.Number({
        description:
          'null when nothing was left out; else every reading kept is the least or greatest of such a stretch',
      }),
    ),
    columns: Type.Object({
      time: Type.Array(IsoTime),
      value: Type.Array(RawValue),
      trust: Type.Array(Trust),
      confidence: Type.Array(Probability),
      limit: Type.Array(LimitState),
      vouched: Type.Array(Type.Boolean()),
      frame: Type.Array(FrameId),
    }),
  },
  { title: 'ReadingSeries' },
);
export type ReadingSeries = Static<typeof ReadingSeries>;

export const Readings = Type.Object(
  {
    mission: MissionId,
    from: orNull(IsoTime),
    to: orNull(IsoTime),
    phase: Phase,
    series: Type.Array(ReadingSeries),
  },
  { title: 'Readings' },
);
export type Readings = Static<typeof Readings>;

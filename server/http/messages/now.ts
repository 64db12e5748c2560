import { type Static, Type } from 'typebox';
import { FrameId, IsoTime, LimitState, MissionId, orNull, Phase, Probability, RawValue, Trust } from './common.ts';

/** `GET /api/missions/{id}/now` */
export const NowQuery = Type.Object({ phase: Type.Optional(Phase) }, { additionalProperties: false });

const Bounds = Type.Tuple([orNull(Type.Number()), orNull(Type.Number())]);

/** The last reading of a parameter. */
export const LastReading = Type.Object({
  value: RawValue,
  time: IsoTime,
  ageSeconds: Type.Number(),
  trust: Trust,
  confidence: Probability,
  vouched: Type.Boolean(),
  limit: LimitState,
  frame: FrameId,
  station: Type.String(),
});
export type LastReading = Static<typeof LastReading>;

/** Where a parameter stands against its limits, counted over transmissions that somebody vouches for. */
export const LimitStanding = Type.Object({
  state: Type.Enum(['unchecked', 'normal', 'soft', 'hard'], {
    description: 'unchecked: not yet as many transmissions in a row as its persistence asks for',
  }),
  since: orNull(IsoTime),
  persistence: Type.Integer({ minimum: 1 }),
  pending: orNull(
    Type.Object(
      { state: Type.Enum(['normal', 'soft', 'hard']), transmissions: Type.Integer({ minimum: 1 }) },
      { description: 'what the latest transmissions say, when that does not count yet' },
    ),
  ),
  soft: orNull(Bounds),
  hard: orNull(Bounds),
});
export type LimitStanding = Static<typeof LimitStanding>;

export const ParameterNow = Type.Object(
  {
    parameter: Type.String(),
    name: Type.String(),
    unit: orNull(Type.String()),
    group: orNull(Type.String()),
    role: orNull(Type.String()),
    decimals: orNull(Type.Integer()),
    last: orNull(LastReading),
    limit: orNull(LimitStanding),
  },
  { title: 'ParameterNow' },
);
export type ParameterNow = Static<typeof ParameterNow>;

/** How the satellite is, as data: the page makes the sentence. */
export const Now = Type.Object(
  {
    mission: MissionId,
    name: Type.String(),
    callSign: Type.String(),
    invented: Type.Boolean(),
    phase: Phase,
    at: IsoTime,
    definitionVersion: Type.Integer({ minimum: 1 }),
    lastHeard: orNull(
      Type.Object({
        receivedAt: IsoTime,
        ageSeconds: Type.Number(),
        frame: FrameId,
        kind: Type.String({ description: 'id of the frame layout' }),
        station: Type.String(),
        vouched: Type.Boolean(),
        trust: Trust,
      }),
    ),
    state: Type.Enum(['steady', 'look', 'act', 'unknown'], {
      description:
        'act: a hard limit is passed; look: a soft one; unknown: nothing heard that can be held against a limit',
    }),
    concerns: Type.Array(Type.String(), { description: 'parameters outside their limits, the worst first' }),
    waitingForTime: Type.Integer({ minimum: 0, description: 'frames whose reception time nobody has said' }),
    parameters: Type.Array(ParameterNow, { description: 'in the order of the definition' }),
  },
  { title: 'Now' },
);
export type Now = Static<typeof Now>;

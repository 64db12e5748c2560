import { type Static, Type } from 'typebox';
import { orNull } from './common.ts';
import { CutOutBand, RecordingFields } from './recordings.ts';

const SLOTS_MAX = 4000;
const BURSTS_MAX = 64;
const SECONDS_MAX = 86_400 * 7;

const TRACK_POINTS_MAX = 400;
const HZ_MAX = 1e12;

const Seconds = Type.Number({ minimum: -SECONDS_MAX, maximum: SECONDS_MAX });
const Hz = Type.Number({ minimum: -HZ_MAX, maximum: HZ_MAX });
const UncertaintyHz = Type.Number({ minimum: 0, maximum: HZ_MAX });

/** Where the carrier stood in the band that a burst was cut out of: kept as its sender's word, where the sound is that burst. */
const SaidCarrier = Type.Object(
  {
    modulation: Type.Enum(['fsk', 'fm'], { description: 'keyed itself, or carrying the two tones in frequency' }),
    seconds: Seconds,
    carrierHz: Hz,
    absoluteHz: orNull(Hz),
    driftHzPerSecond: Hz,
    uncertaintyHz: UncertaintyHz,
    track: Type.Array(
      Type.Object({ seconds: Seconds, carrierHz: Hz, uncertaintyHz: UncertaintyHz }, { additionalProperties: false }),
      { maxItems: TRACK_POINTS_MAX },
    ),
  },
  { additionalProperties: false },
);

/** What the sender's decoder read in a cut-out. Nothing is decided by it: the server reads the sound itself. */
export const CutOutReading = Type.Object(
  {
    software: Type.String({ minLength: 1, maxLength: 80, description: 'the program that read it, with its version' }),
    decoderVersion: Type.Integer({ minimum: 0, maximum: 1_000_000 }),
    source: Type.Object(
      {
        sha256: orNull(Type.String({ pattern: '^[0-9a-f]{64}$', description: 'of the recording it was cut out of' })),
        startSeconds: Type.Number({
          minimum: 0,
          maximum: SECONDS_MAX,
          description: 'where in that recording the cut-out begins',
        }),
      },
      { additionalProperties: false },
    ),
    band: Type.Optional(CutOutBand),
    bursts: Type.Array(
      Type.Object(
        {
          startSeconds: Seconds,
          endSeconds: Seconds,
          text: Type.String({ maxLength: SLOTS_MAX }),
          slots: Type.Array(
            Type.Object(
              {
                startSeconds: Seconds,
                elements: Type.Array(Type.Number({ minimum: -1e6, maximum: 1e6 }), {
                  minItems: 7,
                  maxItems: 7,
                  description: 'log-likelihood ratios ln p(mark)/p(space): start, five data elements, stop',
                }),
              },
              { additionalProperties: false },
            ),
            { maxItems: SLOTS_MAX },
          ),
          carrier: Type.Optional(SaidCarrier),
        },
        { additionalProperties: false },
      ),
      { minItems: 1, maxItems: BURSTS_MAX, description: 'seconds count from the start of the cut-out' },
    ),
  },
  { title: 'CutOutReading', additionalProperties: false },
);
export type CutOutReading = Static<typeof CutOutReading>;

/** The fields beside `file` and `reading` in the multipart body of `POST /api/bursts`: times are those of the cut-out. */
export const CutOutFields = Type.Object(
  {
    mission: RecordingFields.properties.mission,
    station: RecordingFields.properties.station,
    startedAt: RecordingFields.properties.startedAt,
    timeAccuracySeconds: RecordingFields.properties.timeAccuracySeconds,
    timeBase: RecordingFields.properties.timeBase,
    phase: RecordingFields.properties.phase,
    startedAtSource: Type.Optional(
      Type.String({
        pattern: '^[A-Za-z0-9][\\w ,.:-]{0,59}$',
        description: 'what said when the recording began: `bext`, `file name`; without it its sender',
      }),
    ),
  },
  { title: 'CutOutFields', additionalProperties: false },
);
export type CutOutFields = Static<typeof CutOutFields>;

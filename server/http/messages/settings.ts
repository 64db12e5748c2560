import { type Static, Type } from 'typebox';

/** What the team may set; `PUT /api/settings` takes any of these. */
export const SettingsChange = Type.Object(
  {
    title: Type.Optional(Type.String({ minLength: 1, maxLength: 80, description: 'name of this installation' })),
    unvouchedUploads: Type.Optional(
      Type.Boolean({ description: 'whether recordings and lines are taken without a key' }),
    ),
  },
  { title: 'SettingsChange', additionalProperties: false, minProperties: 1 },
);
export type SettingsChange = Static<typeof SettingsChange>;

/** `GET /api/settings` */
export const Settings = Type.Object(
  {
    title: Type.String(),
    unvouchedUploads: Type.Boolean(),
    phoneRecordings: Type.Boolean({
      description: 'whether it reads what phones write (M4A, 3GP, WebM, the sound of a video): ffmpeg is installed',
    }),
    limits: Type.Object({
      recordingBytes: Type.Integer({ description: 'largest recording taken' }),
      recordingsPerHour: Type.Integer(),
      linesPerMinute: Type.Integer(),
    }),
    publicUrl: Type.Union([Type.String(), Type.Null()], {
      description: 'where people reach this server, when whoever runs it said so',
    }),
    you: Type.Enum(['nobody', 'sender', 'station', 'team'], { description: 'whose key came along' }),
    station: Type.Optional(Type.String({ description: 'call sign of the station whose key came along' })),
  },
  { title: 'Settings' },
);
export type Settings = Static<typeof Settings>;

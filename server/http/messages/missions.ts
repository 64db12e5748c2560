import { type Static, Type } from 'typebox';
import { DefinitionFault, IsoTime, MissionId, orNull } from './common.ts';

export const MissionSummary = Type.Object(
  {
    id: MissionId,
    name: Type.String(),
    callSign: Type.String(),
    version: Type.Integer({ minimum: 1, description: 'version of the definition that stands' }),
    savedAt: IsoTime,
    lastHeard: orNull(IsoTime),
    frames: Type.Integer({ minimum: 0, description: 'frames stored of all phases, doubtful ones included' }),
    private: Type.Boolean({ description: 'readable by key only' }),
    invented: Type.Boolean({ description: 'true for demonstrations: satellite, stations and readings are made up' }),
  },
  { title: 'MissionSummary' },
);
export type MissionSummary = Static<typeof MissionSummary>;

/** `GET /api/missions` */
export const MissionList = Type.Object({ missions: Type.Array(MissionSummary) }, { title: 'MissionList' });
export type MissionList = Static<typeof MissionList>;

/**
 * Body of `GET` and `PUT /api/missions/{id}`: the definition as its author wrote it. Its version is the `ETag`; read it
 * with `readMission`.
 */
export const MissionDefinition = Type.Object(
  {},
  { title: 'MissionDefinition', additionalProperties: true, description: 'the mission definition, one JSON object' },
);
export type MissionDefinition = Static<typeof MissionDefinition>;

/** `GET /api/missions/{id}?version=` */
export const MissionQuery = Type.Object(
  { version: Type.Optional(Type.Integer({ minimum: 1, description: 'an earlier version; without it the newest' })) },
  { additionalProperties: false },
);

/** Answer to `PUT /api/missions/{id}`: 201 for the first version, 200 for further ones and for no change. */
export const MissionSaved = Type.Object(
  {
    id: MissionId,
    version: Type.Integer({ minimum: 1 }),
    changed: Type.Boolean({ description: 'false when the definition was the same as before' }),
    warnings: Type.Array(DefinitionFault),
  },
  { title: 'MissionSaved' },
);
export type MissionSaved = Static<typeof MissionSaved>;

/** `GET /api/missions/{id}/versions`, newest first. */
export const MissionVersions = Type.Object(
  {
    id: MissionId,
    versions: Type.Array(Type.Object({ version: Type.Integer({ minimum: 1 }), savedAt: IsoTime })),
  },
  { title: 'MissionVersions' },
);
export type MissionVersions = Static<typeof MissionVersions>;

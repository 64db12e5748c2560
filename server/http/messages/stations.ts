import { type Static, Type } from 'typebox';
import { CallSign, IsoTime, orNull } from './common.ts';

export const Station = Type.Object(
  {
    callSign: Type.String(),
    addedAt: IsoTime,
    revokedAt: orNull(IsoTime),
    lastHeard: orNull(IsoTime),
    frames: Type.Integer({ minimum: 0 }),
    recordings: Type.Integer({ minimum: 0 }),
  },
  { title: 'Station' },
);
export type Station = Static<typeof Station>;

/** `GET /api/stations`: the stations that have a key. */
export const StationList = Type.Object({ stations: Type.Array(Station) }, { title: 'StationList' });
export type StationList = Static<typeof StationList>;

/** `POST /api/stations`, with the team's key. */
export const StationNew = Type.Object({ callSign: CallSign }, { title: 'StationNew', additionalProperties: false });
export type StationNew = Static<typeof StationNew>;

/** The key is shown this once: only its hash is kept. */
export const StationKey = Type.Object({ callSign: Type.String(), key: Type.String() }, { title: 'StationKey' });
export type StationKey = Static<typeof StationKey>;

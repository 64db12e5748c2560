import { type Static, Type } from 'typebox';

/** `GET /healthz` */
export const Healthz = Type.Object(
  {
    status: Type.Enum(['ok', 'stopping']),
    version: Type.String(),
    uptimeSeconds: Type.Number(),
    jobs: Type.Object({ waiting: Type.Integer(), running: Type.Integer() }),
  },
  { title: 'Healthz' },
);
export type Healthz = Static<typeof Healthz>;

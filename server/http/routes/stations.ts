import { Type } from 'typebox';
import { needTeam } from '../../access/rules.ts';
import { normalCallSign } from '../../call-sign.ts';
import { issueStationKey } from '../../keys/station-keys.ts';
import { Refusal } from '../../refusal.ts';
import type { Services } from '../../services.ts';
import { isoTime, isoTimeOrNull } from '../../time.ts';
import type { App } from '../app-types.ts';
import { CallSign, Problem, StationKey, StationList, StationNew } from '../messages.ts';

export function stationRoutes(app: App, { store, clock }: Services): void {
  app.get(
    '/api/stations',
    { schema: { summary: 'The stations that have a key', response: { 200: StationList } } },
    async () => {
      const stations = await store.stations();
      return {
        stations: stations.map((station) => ({
          ...station,
          addedAt: isoTime(station.addedAt),
          revokedAt: isoTimeOrNull(station.revokedAt),
          lastHeard: isoTimeOrNull(station.lastHeard),
        })),
      };
    },
  );

  app.post(
    '/api/stations',
    {
      schema: {
        summary: 'Gives a station a key; an earlier one is void from then on',
        body: StationNew,
        response: { 201: StationKey, '4xx': Problem },
      },
    },
    async ({ body, caller }, reply) => {
      needTeam(caller);
      const callSign = normalCallSign(body.callSign);
      const key = await issueStationKey(store, callSign, clock());
      reply.code(201).header('cache-control', 'no-store');
      return { callSign, key };
    },
  );

  app.delete(
    '/api/stations/:callSign',
    {
      schema: {
        summary: "Revokes a station's key; what it sent stays vouched for",
        params: Type.Object({ callSign: CallSign }),
        response: { 204: Type.Null(), '4xx': Problem },
      },
    },
    async ({ params, caller }, reply) => {
      needTeam(caller);
      const callSign = normalCallSign(params.callSign);
      if (!(await store.revokeStation(callSign, clock()))) {
        throw new Refusal('station-unknown', `no station ${callSign} has a key: see /api/stations`);
      }
      return reply.code(204).send(null);
    },
  );
}

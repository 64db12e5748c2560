import { Type } from 'typebox';
import type { Parameter } from '../../../decoders/mission/types.ts';
import { Refusal } from '../../refusal.ts';
import type { Services } from '../../services.ts';
import type { Series } from '../../store/records.ts';
import { instantOf, isoTime, isoTimeOrNull } from '../../time.ts';
import type { App } from '../app-types.ts';
import { frameId } from '../ids.ts';
import { MissionId, Problem, type ReadingSeries, Readings, ReadingsQuery } from '../messages.ts';
import { visibleMission } from '../visible.ts';

export function readingRoutes(app: App, services: Services): void {
  const { store } = services;

  app.get(
    '/api/missions/:id/readings',
    {
      schema: {
        summary: 'Readings as columns, thinned keeping extremes',
        params: Type.Object({ id: MissionId }),
        querystring: ReadingsQuery,
        response: { 200: Readings, '4xx': Problem },
      },
    },
    async ({ params, query, caller }) => {
      const { mission } = await visibleMission(services, caller, params.id);
      const from = query.from === undefined ? null : instantOf(query.from, 'querystring/from');
      const to = query.to === undefined ? null : instantOf(query.to, 'querystring/to');
      const phase = query.phase ?? 'flight';
      const series: ReadingSeries[] = [];
      for (const id of new Set(query.parameter)) {
        const parameter = mission.parameters.find((each) => each.id === id);
        if (parameter === undefined) throw unknownParameter(mission.name, id, mission.parameters);
        const found = await store.series({
          mission: mission.id,
          parameter: id,
          from,
          to,
          phase,
          leastTrust: query.trust ?? 'probable',
          vouchedOnly: query.vouched ?? false,
          points: query.points ?? 1000,
        });
        series.push(seriesView(parameter, found));
      }
      return { mission: mission.id, from: isoTimeOrNull(from), to: isoTimeOrNull(to), phase, series };
    },
  );
}

function seriesView(parameter: Parameter, { readings, total, bucketMilliseconds }: Series): ReadingSeries {
  return {
    parameter: parameter.id,
    name: parameter.name,
    unit: parameter.unit ?? null,
    group: parameter.group ?? null,
    decimals: parameter.decimals ?? null,
    total,
    bucketSeconds: bucketMilliseconds === null ? null : bucketMilliseconds / 1000,
    columns: {
      time: readings.map(({ time }) => isoTime(time)),
      value: readings.map(({ value }) => value),
      trust: readings.map(({ trust }) => trust),
      confidence: readings.map(({ confidence }) => confidence),
      limit: readings.map(({ limit }) => limit),
      vouched: readings.map(({ vouched }) => vouched),
      frame: readings.map(({ frame }) => frameId(frame)),
    },
  };
}

function unknownParameter(mission: string, id: string, parameters: readonly Parameter[]): Refusal {
  const known = parameters.map((parameter) => parameter.id).join(', ');
  return new Refusal('parameter-unknown', `${mission} has no parameter "${id}"; it has ${known}`, {
    at: 'querystring/parameter',
  });
}

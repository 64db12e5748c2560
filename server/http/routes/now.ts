import { Type } from 'typebox';
import { type Health, healthOf, type ParameterHealth } from '../../health/now.ts';
import type { Services } from '../../services.ts';
import type { Instant } from '../../store/records.ts';
import { isoTime, isoTimeOrNull } from '../../time.ts';
import type { App } from '../app-types.ts';
import { frameId } from '../ids.ts';
import { MissionId, Now, NowQuery, type ParameterNow, Problem } from '../messages.ts';
import { visibleMission } from '../visible.ts';

export function nowRoutes(app: App, services: Services): void {
  const { store, clock } = services;

  app.get(
    '/api/missions/:id/now',
    {
      schema: {
        summary: 'How the satellite is, as far as is known',
        params: Type.Object({ id: MissionId }),
        querystring: NowQuery,
        response: { 200: Now, '4xx': Problem },
      },
    },
    async ({ params, query, caller }) => {
      const current = await visibleMission(services, caller, params.id);
      const now = clock();
      const phase = query.phase ?? 'flight';
      const health = await healthOf(store, current, phase, now);
      const { id, name, callSign } = current.mission;
      return {
        mission: id,
        name,
        callSign,
        invented: current.invented,
        phase,
        at: isoTime(now),
        definitionVersion: current.version,
        lastHeard: lastHeard(health, now),
        state: health.state,
        concerns: [...health.concerns],
        waitingForTime: health.framesWithoutTime,
        parameters: health.parameters.map((parameter) => parameterView(parameter, now)),
      };
    },
  );
}

function lastHeard({ lastFrame }: Health, now: Instant): Now['lastHeard'] {
  if (lastFrame === null || lastFrame.receivedAt === null) return null;
  return {
    receivedAt: isoTime(lastFrame.receivedAt),
    ageSeconds: ageSeconds(lastFrame.receivedAt, now),
    frame: frameId(lastFrame.id),
    kind: lastFrame.decoded.frame,
    station: lastFrame.station,
    vouched: lastFrame.vouched,
    trust: lastFrame.decoded.trust,
  };
}

function parameterView({ parameter, last, limit }: ParameterHealth, now: Instant): ParameterNow {
  return {
    parameter: parameter.id,
    name: parameter.name,
    unit: parameter.unit ?? null,
    group: parameter.group ?? null,
    role: parameter.role ?? null,
    decimals: parameter.decimals ?? null,
    last:
      last === null
        ? null
        : {
            value: last.value,
            time: isoTime(last.time),
            ageSeconds: ageSeconds(last.time, now),
            trust: last.trust,
            confidence: last.confidence,
            vouched: last.vouched,
            limit: last.limit,
            frame: frameId(last.frame),
            station: last.station,
          },
    limit:
      limit === null
        ? null
        : {
            state: limit.state ?? 'unchecked',
            since: isoTimeOrNull(limit.since),
            persistence: parameter.persistence,
            pending: limit.pending === null ? null : { ...limit.pending },
            soft: limit.soft === null ? null : [...limit.soft],
            hard: limit.hard === null ? null : [...limit.hard],
          },
  };
}

/** Clocks differ: what comes from a moment ahead is new. */
function ageSeconds(time: Instant, now: Instant): number {
  return Math.max(0, (now - time) / 1000);
}

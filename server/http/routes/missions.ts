import { Type } from 'typebox';
import { readMission } from '../../../decoders/mission/read.ts';
import { maySeePrivate, needTeam } from '../../access/rules.ts';
import { Refusal } from '../../refusal.ts';
import type { Services } from '../../services.ts';
import { isoTime, isoTimeOrNull } from '../../time.ts';
import type { App } from '../app-types.ts';
import {
  MissionDefinition,
  MissionId,
  MissionList,
  MissionQuery,
  MissionSaved,
  MissionVersions,
  Problem,
} from '../messages.ts';
import { unknownMission, visibleMission } from '../visible.ts';

const Params = Type.Object({ id: MissionId });

export function missionRoutes(app: App, services: Services, changed: () => void): void {
  const { store, clock } = services;

  app.get(
    '/api/missions',
    { schema: { summary: 'The missions', response: { 200: MissionList } } },
    async ({ caller }) => {
      const overviews = await store.missions();
      return {
        missions: overviews
          .filter((mission) => !mission.private || maySeePrivate(caller))
          .map((mission) => ({
            ...mission,
            savedAt: isoTime(mission.savedAt),
            lastHeard: isoTimeOrNull(mission.lastHeard),
          })),
      };
    },
  );

  app.get(
    '/api/missions/:id',
    {
      schema: {
        summary: "A mission's definition; its version is the ETag",
        params: Params,
        querystring: MissionQuery,
        response: { 200: MissionDefinition, '4xx': Problem },
      },
    },
    async ({ params, query, caller }, reply) => {
      await visibleMission(services, caller, params.id);
      const stored = await store.mission(params.id, query.version);
      if (stored === null) {
        throw new Refusal('mission-unknown', `${params.id} has no version ${query.version}: see its list of versions`);
      }
      reply.header('etag', etag(stored.version)).header('last-modified', new Date(stored.savedAt).toUTCString());
      return definitionOf(stored.definition);
    },
  );

  app.get(
    '/api/missions/:id/versions',
    {
      schema: {
        summary: "The versions of a mission's definition, newest first",
        params: Params,
        response: { 200: MissionVersions, '4xx': Problem },
      },
    },
    async ({ params, caller }) => {
      await visibleMission(services, caller, params.id);
      const versions = await store.missionVersions(params.id);
      return {
        id: params.id,
        versions: versions.map(({ version, savedAt }) => ({ version, savedAt: isoTime(savedAt) })),
      };
    },
  );

  app.put(
    '/api/missions/:id',
    {
      schema: {
        summary: 'Adds a mission, or a version of its definition; with If-Match only onto that version',
        params: Params,
        body: MissionDefinition,
        response: { 200: MissionSaved, 201: MissionSaved, '4xx': Problem },
      },
    },
    async ({ params, body, headers, caller }, reply) => {
      needTeam(caller);
      const { mission, faults } = readMission(body);
      if (mission === null) {
        const count = faults.filter(({ severity }) => severity === 'fault').length;
        throw new Refusal(
          'mission-faulty',
          `the definition has ${count === 1 ? 'a fault' : `${count} faults`}; nothing was changed: mend the definition and send it again`,
          { at: 'body', faults },
        );
      }
      if (mission.id !== params.id) {
        throw new Refusal('request-malformed', `the definition's id is ${mission.id}, the address says ${params.id}`, {
          at: 'body/id',
        });
      }
      const standing = await store.mission(params.id);
      const saving = await store.saveMission({
        id: mission.id,
        name: mission.name,
        callSign: mission.callSign,
        private: mission.private,
        invented: standing?.invented ?? false,
        definition: body,
        savedAt: clock(),
        expected: expectedVersion(headers['if-match'], headers['if-none-match']),
      });
      reply.header('etag', etag(saving.version));
      if (saving.outcome === 'conflict') {
        throw new Refusal('version-conflict', conflict(params.id, saving.version), { version: saving.version });
      }
      changed();
      reply.code(saving.outcome === 'saved' && saving.version === 1 ? 201 : 200);
      return {
        id: mission.id,
        version: saving.version,
        changed: saving.outcome === 'saved',
        warnings: faults.map((fault) => ({ ...fault })),
      };
    },
  );

  function definitionOf(definition: unknown): MissionDefinition {
    if (typeof definition === 'object' && definition !== null) return definition;
    throw unknownMission('');
  }
}

function etag(version: number): string {
  return `"${version}"`;
}

/** The version that must stand for a change, 0 for none, null when any may. */
function expectedVersion(ifMatch: string | undefined, ifNoneMatch: string | undefined): number | null {
  if (ifNoneMatch === '*') return 0;
  if (ifMatch === undefined || ifMatch === '*') return null;
  const match = /^(?:W\/)?"?(\d{1,9})"?$/.exec(ifMatch.trim());
  if (match !== null) return Number(match[1]);
  throw new Refusal(
    'request-malformed',
    `If-Match must be the ETag of a version, for instance "3"; ${ifMatch} was given`,
    {
      at: 'headers/if-match',
    },
  );
}

function conflict(id: string, version: number): string {
  if (version === 0) return `${id} does not exist yet: send it without If-Match`;
  return `version ${version} of ${id} stands: read it, make the change there, and send it with If-Match: "${version}"`;
}

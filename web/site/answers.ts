import type { MissionList, MissionSummary } from '../../server/http/messages.ts';
import { ApiProblem } from '../api/problem.ts';
import type { Site, SiteMission } from './site.ts';

const MISSION = /^\/api\/missions\/([^/?]+)(\?|$)/;

/** What a static site answers in place of a server: its missions. Throws `ApiProblem` `no-server` for all else. */
export function answerOf(site: Site, method: string, path: string): unknown {
  if (method === 'GET') {
    if (path === '/api/missions') return listOf(site);
    const id = MISSION.exec(path)?.[1];
    const found = site.missions.find((one) => id !== undefined && one.id === decodeURIComponent(id));
    if (found !== undefined) return found.definition;
  }
  throw noServer();
}

/** There is nobody to ask, and nowhere to send to. */
export function noServer(): ApiProblem {
  return new ApiProblem('no-server', 0, 'These pages stand alone: they have no server, and send nothing anywhere.');
}

function listOf({ missions, builtAt }: Site): MissionList {
  return { missions: missions.map((mission) => summaryOf(mission, builtAt)) };
}

function summaryOf({ id, name, callSign }: SiteMission, builtAt: string): MissionSummary {
  // call signs beginning with Q are never given out
  const invented = callSign.startsWith('Q');
  return { id, name, callSign, version: 1, savedAt: builtAt, lastHeard: null, frames: 0, private: false, invented };
}

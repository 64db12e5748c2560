import { computed, signal } from '@preact/signals';
import type { MissionSummary } from '../../server/http/messages.ts';
import { addressOf, type Page, type Query } from '../address/address.ts';
import { address } from '../address/location.ts';
import { getMissions } from '../api/endpoints.ts';
import { onLive } from '../api/live.ts';
import { type ApiProblem, asProblem } from '../api/problem.ts';

/** All missions of the server; null until they are known. */
export const missions = signal<readonly MissionSummary[] | null>(null);
export const missionsProblem = signal<ApiProblem | null>(null);

/** The mission being looked at: the one in the address, else the first. Null when there is none such. */
export const mission = computed<MissionSummary | null>(() => {
  const all = missions.value;
  const named = address.value.query.get('mission');
  if (all === null) return null;
  return (named === null ? all[0] : all.find(({ id }) => id === named)) ?? null;
});

/** An address that stays with the mission being looked at. */
export function hrefOf(page: Page, id: string | null = null, query: Query = {}): string {
  const named = address.value.query.get('mission');
  return addressOf(page, id, named === null ? query : { mission: named, ...query });
}

export async function loadMissions(): Promise<void> {
  try {
    missions.value = (await getMissions()).missions;
    missionsProblem.value = null;
  } catch (error) {
    missionsProblem.value = asProblem(error);
  }
}

/** Loads the missions and keeps the list fresh; returns the way to stop. */
export function watchMissions(): () => void {
  void loadMissions();
  return onLive((note) => {
    if (note.type === 'mission' || note.type === 'look-anew') void loadMissions();
  });
}

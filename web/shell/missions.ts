import { computed, signal } from '@preact/signals';
import type { MissionSummary, Phase } from '../../server/http/messages.ts';
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

/** What a mission is called; its id until that is known. */
export function missionName(id: string): string {
  return missions.value?.find((one) => one.id === id)?.name ?? id;
}

const PHASES: readonly Phase[] = ['flight', 'rehearsal', 'bench'];

/** The phase being looked at; readings of different phases are never mixed. */
export const phase = computed<Phase>(() => {
  const named = address.value.query.get('phase');
  return PHASES.find((one) => one === named) ?? 'flight';
});

/** An address that stays with the mission and phase being looked at: named when the address names them. */
export function hrefOf(page: Page, id: string | null = null, query: Query = {}): string {
  const stay = { mission: address.value.query.get('mission'), phase: phase.value === 'flight' ? null : phase.value };
  return addressOf(page, id, { ...stay, ...query });
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

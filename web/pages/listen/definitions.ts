import { signal } from '@preact/signals';
import { readMission } from '../../../decoders/mission/read.ts';
import type { Mission } from '../../../decoders/mission/types.ts';
import { getMission, getMissions } from '../../api/endpoints.ts';
import { keep, recall } from '../../shell/kept.ts';

/** A mission to listen for, and when its definition was fetched. */
export interface KeptDefinition {
  readonly mission: Mission;
  readonly fetchedMs: number;
}

/** What can be listened for, the server's own when it answers, else what this browser kept of it. Null until looked for. */
export const definitions = signal<readonly KeptDefinition[] | null>(null);
/** They come from this browser: the server did not answer. */
export const definitionsAreKept = signal(false);

interface Stored {
  readonly json: unknown;
  readonly fetchedMs: number;
}

function read(stored: readonly Stored[]): KeptDefinition[] {
  return stored.flatMap(({ json, fetchedMs }) => {
    const { mission } = readMission(json);
    return mission === null ? [] : [{ mission, fetchedMs }];
  });
}

const isStored = (value: unknown): value is Stored =>
  typeof value === 'object' &&
  value !== null &&
  'json' in value &&
  'fetchedMs' in value &&
  typeof value.fetchedMs === 'number';

function recallStored(): Stored[] {
  try {
    const kept: unknown = JSON.parse(recall('definitions') ?? '[]');
    return Array.isArray(kept) ? kept.filter(isStored) : [];
  } catch {
    return [];
  }
}

/** Fetches the definitions of all missions, and keeps them for when there is no network. */
export async function loadDefinitions(): Promise<void> {
  try {
    const { missions } = await getMissions();
    const fetchedMs = Date.now();
    const stored = await Promise.all(missions.map(async ({ id }) => ({ json: await getMission(id, null), fetchedMs })));
    keep('definitions', JSON.stringify(stored));
    definitions.value = read(stored);
    definitionsAreKept.value = false;
  } catch {
    const stored = recallStored();
    definitions.value = read(stored);
    definitionsAreKept.value = stored.length > 0;
  }
}

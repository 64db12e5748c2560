import type { Mission } from '../../decoders/mission/types.ts';
import { getMission } from './endpoints.ts';
import { ApiProblem } from './problem.ts';

/** Definitions of a version never change: each is fetched and read once. */
const known = new Map<string, Promise<Mission>>();

/**
 * A mission's definition, read by the same door as everywhere.
 * @param version null for the newest
 */
export function getDefinition(mission: string, version: number | null, signal?: AbortSignal): Promise<Mission> {
  if (version === null) return load(mission, null, signal);
  const key = `${mission} ${version}`;
  const before = known.get(key);
  if (before !== undefined) return before;
  const loading = load(mission, version);
  known.set(key, loading);
  loading.catch(() => known.delete(key));
  return loading;
}

async function load(id: string, version: number | null, signal?: AbortSignal): Promise<Mission> {
  const [json, { readMission }] = await Promise.all([
    getMission(id, version, signal),
    import('../../decoders/mission/read.ts'),
  ]);
  const { mission, faults } = readMission(json);
  if (mission !== null) return mission;
  const first = faults.find(({ severity }) => severity === 'fault');
  throw new ApiProblem(
    'definition-fault',
    0,
    `The definition cannot be read by these pages: at ${first?.path}, ${first?.found} stood where ${first?.expected} was expected. Load the page anew; it may be older than the server.`,
  );
}

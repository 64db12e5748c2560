import { readMission } from '../../decoders/mission/read.ts';
import type { Mission } from '../../decoders/mission/types.ts';
import type { StoredMission } from '../store/records.ts';
import type { MissionStore } from '../store/store.ts';

/** A mission with the definition that stands, checked and with its defaults filled in. */
export interface CurrentMission {
  readonly mission: Mission;
  readonly version: number;
  readonly private: boolean;
  readonly invented: boolean;
}

/** The missions as the decoders want them. Each version is read once. */
export interface Catalog {
  current(id: string): Promise<CurrentMission | null>;
  all(): Promise<CurrentMission[]>;
}

export function openCatalog(store: MissionStore): Catalog {
  const known = new Map<string, CurrentMission>();

  async function current(id: string): Promise<CurrentMission | null> {
    const stored = await store.mission(id);
    if (stored === null) return null;
    const cached = known.get(id);
    if (cached?.version === stored.version) return cached;
    const read = readStored(stored);
    known.set(id, read);
    return read;
  }

  return {
    current,
    async all() {
      const overviews = await store.missions();
      const missions = await Promise.all(overviews.map(({ id }) => current(id)));
      return missions.filter((mission) => mission !== null);
    },
  };
}

/** What was stored passed the door when it came. */
function readStored(stored: StoredMission): CurrentMission {
  const { mission, faults } = readMission(stored.definition);
  if (mission === null) {
    const [fault] = faults;
    throw new Error(`the stored definition of ${stored.id}, version ${stored.version}, is faulty at ${fault?.path}`);
  }
  return { mission, version: stored.version, private: stored.private, invented: stored.invented };
}

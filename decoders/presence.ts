import type { BeaconPresence, DecodeEvent } from './decode.ts';
import type { MissionBeacon } from './frames/known-beacons.ts';
import type { Mission } from './mission/types.ts';
import { createPresenceWatch, type PresenceWatch } from './signal/known/presence-watch.ts';
import type { Sighting } from './signal/known/search.ts';
import type { Burst } from './teletype/types.ts';

type BurstEvent = Extract<DecodeEvent, { type: 'burst' }>;

/** A burst this clear is read: what it holds of no mission is somebody else's. */
const CLEAR_DB = 4;
/** Tones within this of a beacon's are on its channel. */
const CHANNEL_HZ = 80;

interface Watched {
  readonly beacon: MissionBeacon;
  readonly mission: Mission;
  readonly watch: PresenceWatch;
}

/**
 * Which missions' beacons a recording holds although nothing of them could be read: their sightings, however faint, come
 * at their interval. Missions that name no interval cannot be told from chance.
 */
export class MissionPresence {
  private readonly watched: Watched[] = [];
  private readonly heard = new Set<Mission['id']>();

  /** Watches the sightings of one beacon on one channel; the recording may have several. */
  watch(beacon: MissionBeacon): (sighting: Sighting) => void {
    const watches = new Map<Mission, PresenceWatch>();
    for (const mission of new Set(beacon.missionOfPattern)) {
      const { intervalSeconds } = mission.beacon;
      if (intervalSeconds === undefined) continue;
      const watch = createPresenceWatch(intervalSeconds, beacon.baud);
      watches.set(mission, watch);
      this.watched.push({ beacon, mission, watch });
    }
    return (sighting) => watches.get(beacon.missionOfPattern[sighting.pattern])?.add(sighting);
  }

  /** Takes note of a burst that was read: of what mission it is, or that it is nobody's. */
  take({ burst, frames }: BurstEvent): void {
    for (const { mission, frame } of frames) if (frame.trust !== 'doubtful') this.heard.add(mission);
    if (burst.ebN0Db < CLEAR_DB) return;
    const missions = new Set(frames.map(({ mission }) => mission));
    for (const { beacon, mission, watch } of this.watched) {
      if (!missions.has(mission.id) && isOnChannel(burst, beacon)) watch.exclude(burst.startSeconds, burst.endSeconds);
    }
  }

  /** Beacons that were present, each as it showed best, in a recording that ends here. */
  end(endSeconds: number): BeaconPresence[] {
    const found = new Map<string, BeaconPresence>();
    for (const { beacon, mission, watch } of this.watched) {
      if (this.heard.has(mission.id)) continue;
      const presence = watch.end(endSeconds);
      if (presence === null) continue;
      // Every channel and further speed that it was looked for on is another chance to be wrong.
      const looks = this.watched.filter((other) => other.mission.id === mission.id).length;
      const { offsetHz, ...rest } = presence;
      const falseAlarmProbability = Math.min(1, looks * presence.falseAlarmProbability);
      const known = found.get(mission.id);
      if (known && known.falseAlarmProbability <= falseAlarmProbability) continue;
      const markHz = beacon.markHz + offsetHz;
      const spaceHz = beacon.spaceHz + offsetHz;
      found.set(mission.id, { mission: mission.id, ...rest, markHz, spaceHz, falseAlarmProbability });
    }
    return [...found.values()];
  }
}

function isOnChannel(burst: Burst, { markHz, spaceHz }: MissionBeacon): boolean {
  const low = Math.abs(Math.min(burst.markHz, burst.spaceHz) - Math.min(markHz, spaceHz));
  const high = Math.abs(Math.max(burst.markHz, burst.spaceHz) - Math.max(markHz, spaceHz));
  return low < CHANNEL_HZ && high < CHANNEL_HZ;
}

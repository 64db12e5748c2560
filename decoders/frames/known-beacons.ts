import type { BeaconHint, Mission, StopElements } from '../mission/types.ts';
import type { KnownBeacon } from '../signal/known/types.ts';
import { layoutsAt } from './compiled-mission.ts';
import { expectedElements } from './expected-elements.ts';

/** One way in which missions' beacons are keyed, and whose each of its patterns is. */
export interface MissionBeacon extends KnownBeacon {
  readonly missionOfPattern: readonly Mission[];
}

/** What senders key where a mission does not say (common practice). */
const USUAL_STOP: StopElements = 1.5;
/** Tones nearer to each other than this (in speeds) cannot be told apart element by element. */
const LEAST_SHIFT = 0.6;
/** What recordings carry, and the search serves. */
const HIGHEST_BAUD = 315;
const LOWEST_HZ = 280;
const HIGHEST_HZ = 3200;

/**
 * The beacons of missions that say how they are keyed: speed and both tones, of the main beacon and of each further one.
 * Missions that share a channel share a beacon. Of the layouts those count that are in force.
 *
 * @param receivedAt ISO 8601; null when unknown: all layouts count.
 */
export function knownBeacons(missions: readonly Mission[], receivedAt: string | null): MissionBeacon[] {
  const beacons = new Map<string, MissionBeacon>();
  for (const mission of missions) {
    const patterns = layoutsAt([mission], receivedAt)
      .map(({ graph }) => expectedElements(graph.printed, mission.beacon))
      .filter(({ characters }) => characters > 0);
    for (const keying of [mission.beacon, ...mission.beacon.also.map((more) => ({ ...mission.beacon, ...more }))]) {
      const channel = channelOf(keying);
      if (channel === null || patterns.length === 0) continue;
      const key = JSON.stringify(channel);
      const known = beacons.get(key);
      beacons.set(key, {
        ...channel,
        patterns: [...(known?.patterns ?? []), ...patterns],
        missionOfPattern: [...(known?.missionOfPattern ?? []), ...patterns.map(() => mission)],
      });
    }
  }
  return [...beacons.values()];
}

function channelOf(hint: BeaconHint): Omit<KnownBeacon, 'patterns'> | null {
  const { baud, markHz, spaceHz, stopElements = USUAL_STOP } = hint;
  if (baud === undefined || markHz === undefined || spaceHz === undefined) return null;
  if (baud > HIGHEST_BAUD || Math.abs(markHz - spaceHz) < LEAST_SHIFT * baud) return null;
  if (Math.min(markHz, spaceHz) < LOWEST_HZ || Math.max(markHz, spaceHz) > HIGHEST_HZ) return null;
  return { baud, stopElements, markHz, spaceHz };
}

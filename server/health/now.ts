import { limitsInForce } from '../../decoders/engineering/limits.ts';
import { inForce } from '../../decoders/engineering/validity.ts';
import type { Bounds, Parameter } from '../../decoders/mission/types.ts';
import type { CurrentMission } from '../missions/catalog.ts';
import type { Instant, LastReading, Phase, StoredFrame } from '../store/records.ts';
import type { FrameStore, ReadingStore } from '../store/store.ts';
import { isoTime } from '../time.ts';
import { type Overall, overallOf } from './overall.ts';
import { type Standing, standingAfter } from './standing.ts';
import { copyDistanceMilliseconds, onePerTransmission } from './transmissions.ts';

export interface ParameterHealth {
  readonly parameter: Parameter;
  readonly last: LastReading | null;
  /** Null for a parameter without limits. */
  readonly limit: (Standing & { readonly soft: Bounds | null; readonly hard: Bounds | null }) | null;
}

/** How a satellite is, as far as is known. */
export interface Health extends Overall {
  readonly lastFrame: StoredFrame | null;
  /** In the order of the definition. */
  readonly parameters: readonly ParameterHealth[];
  readonly framesWithoutTime: number;
}

/** A standing is counted over at most so many readings back. */
const READINGS_BACK = 200;

export async function healthOf(
  store: ReadingStore & FrameStore,
  { mission }: CurrentMission,
  phase: Phase,
  now: Instant,
): Promise<Health> {
  const last = new Map((await store.lastReadings(mission.id, phase)).map((reading) => [reading.parameter, reading]));
  const distance = copyDistanceMilliseconds(mission.beacon.intervalSeconds);
  const parameters: ParameterHealth[] = [];
  for (const parameter of mission.parameters) {
    const reading = last.get(parameter.id) ?? null;
    if (parameter.limits.length === 0) {
      parameters.push({ parameter, last: reading, limit: null });
      continue;
    }
    const recent = await store.recentReadings(mission.id, parameter.id, phase, READINGS_BACK);
    const standing = standingAfter(onePerTransmission(recent.reverse(), distance), parameter.persistence);
    parameters.push({ parameter, last: reading, limit: { ...standing, ...boundsOf(parameter, reading?.time ?? now) } });
  }
  return {
    ...overallOf(parameters.map(({ parameter, limit }) => ({ parameter: parameter.id, state: limit?.state ?? null }))),
    lastFrame: await store.lastFrame(mission.id, phase),
    parameters,
    framesWithoutTime: await store.framesWithoutTime(mission.id, phase),
  };
}

/** The bounds to show: where they depend on a condition the widest, since here it is not known. */
function boundsOf({ limits }: Parameter, at: Instant): { soft: Bounds | null; hard: Bounds | null } {
  const { value: sets } = inForce(limits, isoTime(at), 'limits');
  const found = sets === null ? null : limitsInForce(sets, () => null);
  const bounded = (bounds: Bounds | undefined) =>
    bounds === undefined || (bounds[0] === null && bounds[1] === null) ? null : bounds;
  return { soft: bounded(found?.soft), hard: bounded(found?.hard) };
}

import type { FrameWithReadings } from './decode.ts';
import { readingsOf } from './engineering/index.ts';
import type { MatchedFrame } from './frames/match.ts';
import type { Mission } from './mission/types.ts';

/** A frame with what it says. @param startedAt reception time of the first sample, ISO 8601; null when unknown. */
export function withReadings(match: MatchedFrame, startedAt: string | null): FrameWithReadings {
  const { mission, frame, repetitions } = match;
  return {
    mission: mission.id,
    frame,
    readings: readingsOf(mission, frame, { receivedAt: timeAt(startedAt, frame.startSeconds) }),
    ...(repetitions ? { repetitions } : {}),
  };
}

/**
 * A frame of which the readings are worked out anew, as received then: what is known of a recording's time may come last.
 *
 * @param receivedAt ISO 8601; null when unknown.
 */
export function withReadingsAt(
  found: FrameWithReadings,
  missions: readonly Mission[],
  receivedAt: string | null,
): FrameWithReadings {
  const mission = missions.find(({ id }) => id === found.mission);
  return mission === undefined ? found : { ...found, readings: readingsOf(mission, found.frame, { receivedAt }) };
}

function timeAt(startedAt: string | null, seconds: number): string | null {
  return startedAt === null ? null : new Date(Date.parse(startedAt) + seconds * 1000).toISOString();
}

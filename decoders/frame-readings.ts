import type { FrameWithReadings } from './decode.ts';
import { readingsOf } from './engineering/index.ts';
import type { MatchedFrame } from './frames/match.ts';

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

function timeAt(startedAt: string | null, seconds: number): string | null {
  return startedAt === null ? null : new Date(Date.parse(startedAt) + seconds * 1000).toISOString();
}

import type { FrameLayout, LayoutPart, Mission } from './types.ts';

/** Stands in the place of a satellite's own while people practise; no mission may have it. */
export const PRACTICE_CALL_SIGN = 'Q0PRACTICE';

/**
 * The mission as it is practised: the same frames under the call sign of practice, which no layout of the mission itself
 * takes for its own. Null where a frame can do without its call sign: a practice frame could then be taken for one in flight.
 */
export function practiceOf(mission: Mission): Mission | null {
  const { callSign, frames } = mission;
  if (!frames.every(({ layout }) => layout.some((part) => part.part === 'text' && namesIt(part.text, callSign)))) {
    return null;
  }
  return {
    ...mission,
    name: `${mission.name}, practice`,
    callSign: PRACTICE_CALL_SIGN,
    frames: frames.map((frame): FrameLayout => ({ ...frame, layout: renamed(frame.layout, callSign) })),
    examples: [],
  };
}

/** Missions, and beside each what is sent to practise it, which has the same id. */
export function withPractice(missions: readonly Mission[]): Mission[] {
  return missions.flatMap((mission) => {
    const practice = practiceOf(mission);
    return practice === null ? [mission] : [mission, practice];
  });
}

/** Whether a text was sent for practice. */
export function isPractice(text: string): boolean {
  return text.toUpperCase().includes(PRACTICE_CALL_SIGN);
}

/** The mission whose frames a typed text may hold: as it is practised where the text was sent for practice. */
export function spokenIn(text: string, mission: Mission): Mission {
  return isPractice(text) ? (practiceOf(mission) ?? mission) : mission;
}

function namesIt(text: string, callSign: string): boolean {
  return text.split(/\s+/).includes(callSign);
}

function renamed(layout: readonly LayoutPart[], callSign: string): LayoutPart[] {
  return layout.map((part) => {
    switch (part.part) {
      case 'text':
        return { ...part, text: part.text.replaceAll(callSign, PRACTICE_CALL_SIGN) };
      case 'optional':
        return { ...part, layout: renamed(part.layout, callSign) };
      case 'either':
        return { ...part, layouts: part.layouts.map((one) => renamed(one, callSign)) };
      default:
        return part;
    }
  });
}

import type { FrameCopy } from '../../../decoders/frames/combine.ts';
import { matchFrames } from '../../../decoders/frames/match.ts';
import type { Mission } from '../../../decoders/mission/types.ts';
import type { Random } from '../../../decoders/simulate/random.ts';
import { encode } from '../../../decoders/teletype/alphabets.ts';
import type { SoftCharacters } from '../../../decoders/teletype/types.ts';
import { heard, sliceSlots } from './soft.ts';

interface Hearing {
  readonly ebN0Db: number;
  readonly random: Random;
  readonly station?: string;
  /** Characters lost at the beginning. */
  readonly missed?: number;
  /** Nobody has read it yet, though where the frame lies is known. */
  readonly unread?: boolean;
}

/** A text as a station hears it, between some shifts, its recording begun at a time of its own. */
export function copyOf(text: string, mission: Mission, hearing: Hearing): FrameCopy {
  const { ebN0Db, random, missed = 0, station = 'Q1LARK' } = hearing;
  const lead = Array.from({ length: 1 + random.integer(5) }, () => 31);
  const whole = heard([...lead, ...encode(text, 'ita2', { startShift: 'unknown' }), 31, 31], ebN0Db, random);
  const soft = missed === 0 ? whole : sliceSlots(whole, lead.length + missed, whole.count);
  const began = random.uniform(-3, 3);
  const startSeconds = soft.startSeconds.map((start) => start + began + random.uniform(0, 0.001));
  const shifted = { ...soft, startSeconds };
  if (hearing.unread)
    return { soft: shifted, fromSlot: lead.length, toSlot: soft.count - 2, ebN0Db, station, alone: null };
  return hearingOf(shifted, mission, ebN0Db, station);
}

/** What a station makes of soft characters. */
export function hearingOf(soft: SoftCharacters, mission: Mission, ebN0Db: number, station: string): FrameCopy {
  const [found] = matchFrames(soft, [mission]);
  return {
    soft,
    fromSlot: found?.fromSlot ?? 0,
    toSlot: found?.toSlot ?? soft.count,
    ebN0Db,
    station,
    alone: found ? { mission: found.mission.id, frame: found.frame } : null,
  };
}

import type { CombinedFrame } from '../../decoders/frames/combine.ts';
import { spokenIn } from '../../decoders/mission/practice.ts';
import { copyDistanceMilliseconds } from '../health/transmissions.ts';
import type { CurrentMission } from '../missions/catalog.ts';
import type { AloneReading, CopyUse } from '../store/records.ts';
import { isoTimeOrNull } from '../time.ts';
import type { Combiner } from './combiner.ts';
import {
  frameCopies,
  type HeardPart,
  type Hearing,
  hearingTime,
  hearingUncertaintySeconds,
  instantIn,
  type Span,
} from './hearing.ts';

/** One transmission with all that was heard of it. */
export interface Transmission {
  /** Slots and seconds are those of the first copy. */
  readonly reading: AloneReading;
  readonly vouched: boolean;
  readonly copies: readonly TransmissionCopy[];
}

export interface TransmissionCopy {
  readonly hearing: Hearing;
  readonly part: HeardPart;
  readonly use: CopyUse;
  readonly slots: readonly number[];
}

export interface Grouping {
  /** What was read, each recording by itself. */
  readonly hearings: readonly Hearing[];
  /** Bursts in which a frame may lie that was not read there; their one part is the whole burst. */
  readonly bursts: readonly Hearing[];
  readonly missions: readonly CurrentMission[];
  readonly combiner: Combiner;
}

/** Copies of one transmission differ by the clocks of their stations, by light time and the way of the sound: at least so much is allowed. */
const CLOCKS_MILLISECONDS = 5000;
/** A shorter stretch tells nothing of a frame. */
const FEWEST_SLOTS = 8;
/** More copies than this make no frame surer. */
const MOST_HEARINGS = 12;

/**
 * Finds out which hearings are of one transmission, and decides each transmission from all of them. The same hearings in
 * any order give the same transmissions.
 */
export async function groupTransmissions(grouping: Grouping): Promise<Transmission[]> {
  const found: Transmission[] = [];
  let left = [...grouping.hearings].sort(clearestFirst);
  while (left.length > 0) {
    const [seed] = left;
    const transmission = await transmissionOf(seed, candidates(seed, left, grouping), grouping);
    found.push(transmission);
    left = left.filter((each) => each !== seed && transmission.copies.every(({ hearing }) => hearing !== each));
  }
  return found;
}

/** Vouched for before others, then by trust and confidence, then by age. */
function clearestFirst(a: Hearing, b: Hearing): number {
  const rank = ({ decision }: Hearing) =>
    ['doubtful', 'probable', 'confirmed'].indexOf(decision?.decoded.trust ?? '') + (decision?.decoded.confidence ?? 0);
  return (
    Number(b.recording.vouched) - Number(a.recording.vouched) ||
    rank(b) - rank(a) ||
    a.recording.id - b.recording.id ||
    a.index - b.index ||
    a.parts[0].fromSlot - b.parts[0].fromSlot
  );
}

/** What may be of the seed's transmission: of each other recording the nearest in time, or a stretch of one of its bursts. */
function candidates(seed: Hearing, left: readonly Hearing[], { hearings, bursts, missions }: Grouping): Hearing[] {
  const at = hearingTime(seed);
  const mission = missions.find((each) => each.mission.id === seed.decision?.mission)?.mission;
  if (at === null || mission === undefined) return [];
  const tolerance = (other: Hearing) =>
    Math.min(
      Math.max(CLOCKS_MILLISECONDS, accuracyMilliseconds(seed) + accuracyMilliseconds(other)),
      copyDistanceMilliseconds(mission.beacon.intervalSeconds),
    );
  const comparable = ({ recording, phase }: Hearing) =>
    recording.id !== seed.recording.id &&
    phase === seed.phase &&
    (recording.mission === null || recording.mission === mission.id);
  const nearest = new Map<number, { readonly hearing: Hearing; readonly apart: number }>();
  const offer = (hearing: Hearing, apart: number) => {
    const known = nearest.get(hearing.recording.id);
    if (apart < tolerance(hearing) && (known === undefined || apart < known.apart))
      nearest.set(hearing.recording.id, { hearing, apart });
  };
  for (const hearing of left) {
    const time = hearingTime(hearing);
    if (comparable(hearing) && time !== null) offer(hearing, Math.abs(time - at));
  }
  const read = new Set(nearest.keys());
  const lasts = durationMilliseconds(seed);
  for (const burst of bursts) {
    if (!comparable(burst) || read.has(burst.recording.id)) continue;
    const free = freeStretch(burst, hearings, { from: at - tolerance(burst), to: at + lasts + tolerance(burst) });
    if (free !== null) offer(free, 0);
  }
  return [...nearest.values()]
    .sort((a, b) => a.apart - b.apart || a.hearing.recording.id - b.hearing.recording.id)
    .slice(0, MOST_HEARINGS - 1)
    .map(({ hearing }) => hearing);
}

function accuracyMilliseconds(hearing: Hearing): number {
  return 1000 * (hearingUncertaintySeconds(hearing) ?? 0);
}

function durationMilliseconds({ decision }: Hearing): number {
  return decision === null ? 0 : 1000 * (decision.decoded.endSeconds - decision.decoded.startSeconds);
}

/**
 * The longest stretch of a burst in a time in which a frame that was heard elsewhere may lie: nothing was read there. Null when there
 * is none.
 */
function freeStretch(whole: Hearing, hearings: readonly Hearing[], { from, to }: Span): Hearing | null {
  const { recording, index, burst, parts } = whole;
  const { startedAt } = recording;
  if (startedAt === null) return null;
  const taken = hearings
    .filter((each) => each.recording.id === recording.id && each.index === index)
    .flatMap((each) => each.parts);
  const isFree = (seconds: number, slot: number) => {
    const time = instantIn(startedAt, seconds);
    return time >= from && time <= to && !taken.some(({ fromSlot, toSlot }) => slot >= fromSlot && slot < toSlot);
  };
  let longest = { fromSlot: 0, toSlot: 0 };
  let fromSlot = 0;
  for (const [slot, seconds] of burst.soft.startSeconds.entries()) {
    if (!isFree(seconds, slot)) fromSlot = slot + 1;
    else if (slot + 1 - fromSlot > longest.toSlot - longest.fromSlot) longest = { fromSlot, toSlot: slot + 1 };
  }
  return longest.toSlot - longest.fromSlot < FEWEST_SLOTS ? null : { ...whole, parts: [{ ...parts[0], ...longest }] };
}

async function transmissionOf(seed: Hearing, others: readonly Hearing[], grouping: Grouping): Promise<Transmission> {
  const all = await together([seed, ...others], grouping);
  if (all === null || !holds(all, seed)) return byItself(seed);
  const members = [seed, ...others].filter((each) => holds(all, each));
  const vouched = members.filter(({ recording }) => recording.vouched);
  if (vouched.length === 0 || vouched.length === members.length) return all;
  // What nobody vouches for may add to what somebody does, but not change it.
  const sure = vouched.length === 1 ? byItself(vouched[0]) : await together(vouched, grouping);
  if (sure === null || sure.reading.decoded.trust === 'doubtful') return { ...all, vouched: false };
  if (sure.reading.decoded.text !== all.reading.decoded.text) return holds(sure, seed) ? sure : byItself(seed);
  const unvouched = all.copies.filter(({ hearing }) => !holds(sure, hearing));
  return { ...sure, copies: [...sure.copies, ...unvouched.map((copy) => ({ ...copy, use: 'unvouched' as const }))] };
}

function holds({ copies }: Transmission, hearing: Hearing): boolean {
  return copies.some((copy) => copy.hearing === hearing);
}

/** A hearing that no other shares. */
function byItself(hearing: Hearing): Transmission {
  const { decision, parts, recording } = hearing;
  if (decision === null) throw new Error('nothing was read in a hearing that stands by itself');
  const copies = parts.map((part) => ({ hearing, part, use: part.use, slots: part.slots }));
  const lead = copies.findIndex(({ slots }) => slots.every((slot, i) => slot === decision.decoded.characters[i].slot));
  return { reading: decision, vouched: recording.vouched, copies: leadFirst(copies, Math.max(0, lead)) };
}

/** What hearings give together; null when they are not of one transmission. */
async function together(hearings: readonly Hearing[], { missions, combiner }: Grouping): Promise<Transmission | null> {
  if (hearings.length < 2) return null;
  const named = new Set(hearings.flatMap(({ recording }) => recording.mission ?? []));
  const competing = missions.filter(({ mission }) => named.size === 0 || named.has(mission.id));
  const combined = await combiner.combine(
    hearings.flatMap(frameCopies),
    competing.map(({ mission }) => spokenIn(hearings[0].decision?.decoded.text ?? '', mission)),
    { receivedAt: isoTimeOrNull(hearingTime(hearings[0])) },
  );
  return combined && transmission(combined, hearings, competing);
}

function transmission(
  { mission, frame, lead, copies }: CombinedFrame,
  hearings: readonly Hearing[],
  missions: readonly CurrentMission[],
): Transmission | null {
  const parts = hearings.flatMap((hearing) => hearing.parts.map((part) => ({ hearing, part })));
  const version = missions.find((each) => each.mission.id === mission)?.version;
  if (version === undefined) return null;
  const laid = copies.map(({ belonging, slots }, i): TransmissionCopy => {
    return { ...parts[i], use: belonging === 'same-noise' ? 'same-noise' : 'added', slots };
  });
  const placed = leadFirst(laid, lead).filter(({ slots }) => slots.length > 0);
  return {
    reading: { mission, version, decoded: frame },
    vouched: placed.every(({ hearing }) => hearing.recording.vouched),
    copies: placed,
  };
}

function leadFirst(copies: readonly TransmissionCopy[], lead: number): TransmissionCopy[] {
  return [copies[lead], ...copies.filter((_, i) => i !== lead)];
}

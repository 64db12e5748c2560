import { OTHER_REPETITION } from '../../decoders/frames/accept.ts';
import { spokenIn } from '../../decoders/mission/practice.ts';
import type { Mission } from '../../decoders/mission/types.ts';
import { copyDistanceMilliseconds } from '../health/transmissions.ts';
import type { CurrentMission } from '../missions/catalog.ts';
import type { Services } from '../services.ts';
import type { Phase, StoredBurst, StoredCopy, StoredFrame, StoredRecording } from '../store/records.ts';
import { isoTimeOrNull } from '../time.ts';
import {
  frameCopies,
  type HeardPart,
  type HeardRecording,
  type Hearing,
  instantIn,
  partRead,
  type Span,
  stretchOf,
} from './hearing.ts';

type Shared = Pick<Services, 'store' | 'combiner'>;

/** A stored frame with where it was heard. */
export interface FrameWithCopies {
  readonly frame: StoredFrame;
  readonly copies: readonly StoredCopy[];
}

/** What is stored about a recording: the frames that it may have a part in, and what other recordings hold of them. */
export interface Neighbourhood {
  readonly frames: readonly FrameWithCopies[];
  /** What others read. */
  readonly hearings: readonly Hearing[];
  /** Bursts of others that were on the air then, whole. */
  readonly bursts: readonly Hearing[];
}

/** How far from a recording's bursts others may be dated that heard the same. */
export function reachMilliseconds(missions: readonly CurrentMission[]): number {
  return Math.max(0, ...missions.map(({ mission }) => copyDistanceMilliseconds(mission.beacon.intervalSeconds)));
}

/**
 * Gathers what is stored around a recording.
 *
 * @param spans when the recording's bursts will be said to have been on the air; as it is dated now is known.
 */
export async function neighbourhoodOf(
  services: Shared,
  recording: number,
  phases: ReadonlySet<Phase>,
  spans: readonly Span[],
  missions: readonly CurrentMission[],
): Promise<Neighbourhood> {
  const { store } = services;
  const reach = reachMilliseconds(missions);
  const own = await store.framesOfRecording(recording);
  const frames = new Map(own.map((frame) => [frame.id, frame]));
  const onAir = new Map<string, { phase: Phase; recording: number; index: number }>();
  for (const phase of phases) {
    for (const { from, to } of merged([...spans, ...own.flatMap(spanOf)], reach)) {
      for (const frame of await store.framesHeard(phase, from, to)) frames.set(frame.id, frame);
      for (const burst of await store.burstsOnAir(phase, from, to)) {
        if (burst.recording !== recording) onAir.set(`${burst.recording} ${burst.index}`, { phase, ...burst });
      }
    }
  }
  const reader = new StoredHearings(services, missions);
  const withCopies: FrameWithCopies[] = [];
  const hearings: Hearing[] = [];
  for (const frame of frames.values()) {
    const copies = await store.copiesOfFrame(frame.id);
    withCopies.push({ frame, copies });
    const others = copies.filter((copy) => copy.recording !== recording);
    hearings.push(...(await reader.hearingsOf(frame, others)));
  }
  const bursts: Hearing[] = [];
  for (const { phase, recording: of, index } of onAir.values())
    bursts.push(...(await reader.wholeBurst(of, index, phase)));
  return { frames: withCopies, hearings, bursts };
}

function spanOf({ receivedAt, decoded }: StoredFrame): Span[] {
  if (receivedAt === null) return [];
  return [{ from: receivedAt, to: receivedAt + Math.round(1000 * (decoded.endSeconds - decoded.startSeconds)) }];
}

/** The spans widened, overlapping ones made one. */
function merged(spans: readonly Span[], reach: number): Span[] {
  const widened = spans.map(({ from, to }) => ({ from: from - reach, to: to + reach })).sort((a, b) => a.from - b.from);
  const apart: Span[] = [];
  for (const span of widened) {
    const last = apart.at(-1);
    if (last !== undefined && span.from <= last.to) {
      apart[apart.length - 1] = { from: last.from, to: Math.max(last.to, span.to) };
    } else apart.push(span);
  }
  return apart;
}

/** Makes hearings of what is stored; each recording and burst is fetched once. */
export class StoredHearings {
  readonly #services: Shared;
  readonly #missions: readonly CurrentMission[];
  readonly #recordings = new Map<number, Promise<StoredRecording | null>>();
  readonly #bursts = new Map<string, Promise<StoredBurst | null>>();

  constructor(services: Shared, missions: readonly CurrentMission[]) {
    this.#services = services;
    this.#missions = missions;
  }

  /** The hearings that a frame's copies are of, one a recording that read something; `as` is what is known of the recording by now. */
  async hearingsOf(frame: StoredFrame, copies: readonly StoredCopy[], as?: HeardRecording): Promise<Hearing[]> {
    const hearings: Hearing[] = [];
    for (const id of new Set(copies.map(({ recording }) => recording))) {
      const own = copies.filter(({ recording }) => recording === id);
      if (own.every(({ alone }) => alone === null)) continue;
      const recording = as ?? (await this.#recording(id));
      const stored = await this.#burst(id, own[0].burst);
      if (recording === null || stored === null) continue;
      const { index, burst } = stored;
      const parts = own.map(partOf);
      const decided = await this.#decide({ recording, burst, parts });
      hearings.push({ recording, phase: frame.phase, index, burst, ...decided });
    }
    return hearings;
  }

  /** A burst as a hearing of which nothing is known; none where its recording is of another phase. */
  async wholeBurst(id: number, index: number, phase: Phase, as?: HeardRecording): Promise<Hearing[]> {
    const recording = await this.#recording(id);
    const stored = await this.#burst(id, index);
    if (recording === null || stored === null || (recording.audio?.simulated === true && phase === 'flight')) return [];
    return [unreadBurst(as ?? recording, phase, stored)];
  }

  /** What a recording alone makes of its parts: repetitions are decided together. */
  async #decide(heard: Pick<Hearing, 'recording' | 'burst' | 'parts'>): Promise<Pick<Hearing, 'parts' | 'decision'>> {
    const { parts, recording } = heard;
    const read = parts.flatMap(({ alone }) => alone ?? []);
    if (parts.length > 1) {
      const { mission, version, decoded } = read[0];
      const combined = await this.#services.combiner.combine(
        frameCopies(heard),
        this.#missionsNamed(mission, decoded.text),
        {
          receivedAt: isoTimeOrNull(recording.startedAt),
          otherTransmission: OTHER_REPETITION,
        },
      );
      if (combined !== null) {
        const decision = { mission: combined.mission, version, decoded: combined.frame };
        return { parts: parts.map((part, i) => ({ ...part, slots: combined.copies[i].slots })), decision };
      }
    }
    return { parts: [partRead(read[0])], decision: read[0] };
  }

  /** The mission as a text of it was sent. */
  #missionsNamed(id: string, text: string): Mission[] {
    return this.#missions.flatMap(({ mission }) => (mission.id === id ? [spokenIn(text, mission)] : []));
  }

  #recording(id: number): Promise<StoredRecording | null> {
    return kept(this.#recordings, id, () => this.#services.store.recording(id));
  }

  #burst(recording: number, index: number): Promise<StoredBurst | null> {
    return kept(this.#bursts, `${recording} ${index}`, () => this.#services.store.burst(recording, index));
  }
}

export function unreadBurst(recording: HeardRecording, phase: Phase, { index, burst }: StoredBurst): Hearing {
  const whole: HeardPart = { fromSlot: 0, toSlot: burst.soft.count, alone: null, use: 'added', slots: [] };
  return { recording, phase, index, burst, parts: [whole], decision: null };
}

/** When bursts of a recording were on the air; none when nobody said when it began. */
export function spansOf({ startedAt }: HeardRecording, bursts: readonly StoredBurst[]): Span[] {
  if (startedAt === null) return [];
  return bursts.map(({ burst }) => ({
    from: instantIn(startedAt, burst.startSeconds),
    to: instantIn(startedAt, burst.endSeconds),
  }));
}

function partOf({ slots, alone, use }: StoredCopy): HeardPart {
  return alone === null ? { ...stretchOf(slots), alone, use, slots } : { ...partRead(alone), use };
}

function kept<K, V>(known: Map<K, V>, key: K, get: () => V): V {
  const before = known.get(key);
  if (before !== undefined) return before;
  const value = get();
  known.set(key, value);
  return value;
}

import { isDeepStrictEqual } from 'node:util';
import type { CurrentMission } from '../missions/catalog.ts';
import { readFrames } from '../readings/read-frames.ts';
import type { FrameChanges, FrameState, HeardFrame, NewFrame, RedecidedFrame, StoredCopy } from '../store/records.ts';
import type { ReadingStore } from '../store/store.ts';
import type { Transmission } from './group.ts';
import { type Hearing, hearingTime, hearingUncertaintySeconds, instantIn } from './hearing.ts';
import type { FrameWithCopies } from './neighbourhood.ts';

type Undecided = Omit<HeardFrame, 'frame'> & { readonly frame: Omit<NewFrame, 'readings' | 'readingsVersion'> };

/**
 * What the store must do for its frames to be these transmissions. A transmission takes over the frame that stood where it
 * is now clearest, else any that its copies were of; frames that none takes over go.
 *
 * @param stored the frames that the transmissions' copies may have been of until now.
 */
export async function changesTo(
  store: ReadingStore,
  transmissions: readonly Transmission[],
  stored: readonly FrameWithCopies[],
  missions: readonly CurrentMission[],
): Promise<FrameChanges> {
  const added: Undecided[] = [];
  const redecided: (Undecided & { readonly id: number; readonly before: FrameState | null })[] = [];
  const taken = takeOver(transmissions, stored);
  for (const [index, transmission] of transmissions.entries()) {
    const known = taken.get(index);
    if (known === undefined) {
      added.push(undecided(transmission));
      continue;
    }
    const { id } = known.frame;
    if (!sameCopies(known.copies, transmission)) {
      redecided.push({ ...undecided(transmission), id, before: stateOf(known) });
      continue;
    }
    const standing = undecided(asStored(known, transmission));
    if (!isDeepStrictEqual(standing.frame, frameOf(known))) redecided.push({ ...standing, id, before: null });
  }
  const standing = new Set([...taken.values()].map(({ frame }) => frame.id));
  const removed = stored.flatMap(({ frame }) => (standing.has(frame.id) ? [] : [frame.id]));
  const read = await withReadings(store, [...redecided, ...added], missions);
  return {
    added: read.slice(redecided.length),
    redecided: redecided.map(({ id, before }, i): RedecidedFrame => ({ ...read[i], id, before })),
    removed,
  };
}

/** For each transmission by its place the frame that it takes over. */
function takeOver(
  transmissions: readonly Transmission[],
  stored: readonly FrameWithCopies[],
): Map<number, FrameWithCopies> {
  const taken = new Map<number, FrameWithCopies>();
  for (const known of stored) {
    const claims = (transmission: Transmission) => sharedCopies(known.copies, transmission);
    const free = transmissions.flatMap((each, i) => (taken.has(i) || claims(each) === 0 ? [] : [i]));
    const [most] = free.sort((a, b) => claims(transmissions[b]) - claims(transmissions[a]));
    if (most !== undefined) taken.set(most, known);
  }
  return taken;
}

/** How much of a frame is in a transmission: what it stands in counts more than all the rest. */
function sharedCopies(copies: readonly StoredCopy[], transmission: Transmission): number {
  return copies.reduce((sum, copy, i) => sum + (holdsCopy(transmission, copy) ? (i === 0 ? copies.length : 1) : 0), 0);
}

function holdsCopy({ copies }: Transmission, { recording, burst, slots }: StoredCopy): boolean {
  return copies.some(
    ({ hearing, slots: own }) =>
      hearing.recording.id === recording &&
      hearing.index === burst &&
      own.some((slot) => slot >= 0 && slots.includes(slot)),
  );
}

function undecided({ reading, vouched, copies }: Transmission): Undecided {
  const [{ hearing }] = copies;
  const { mission, version, decoded } = reading;
  return {
    frame: {
      mission,
      version,
      ...received(
        copies.map((copy) => copy.hearing),
        reading,
      ),
      station: hearing.recording.station,
      vouched,
      phase: hearing.phase,
      decoded,
    },
    source: { recording: hearing.recording.id, burst: hearing.index },
    copies: copies.map(({ hearing: of, part, use, slots }) => ({
      recording: of.recording.id,
      burst: of.index,
      use,
      slots,
      alone: part.alone,
    })),
  };
}

type Received = Pick<NewFrame, 'receivedAt' | 'receivedAtSource' | 'receivedAtUncertaintySeconds'>;

/** A clock of which nobody says how exact it is comes before those that may be hours out. */
const UNSTATED_SECONDS = 3600;

/** By the clock that is said to be the best; of clocks of which nobody says it, that of the clearest copy. */
function received([lead, ...others]: readonly Hearing[], { decoded }: Transmission['reading']): Received {
  const uncertainty = (hearing: Hearing) =>
    hearing.recording.startedAt === null
      ? Number.POSITIVE_INFINITY
      : (hearingUncertaintySeconds(hearing) ?? UNSTATED_SECONDS);
  const best = others.reduce((a, b) => (uncertainty(b) < uncertainty(a) ? b : a), lead);
  const { startedAt, startedAtSource } = best.recording;
  if (startedAt === null) return { receivedAt: null, receivedAtSource: null, receivedAtUncertaintySeconds: null };
  return {
    receivedAt: best === lead ? instantIn(startedAt, decoded.startSeconds) : hearingTime(best),
    receivedAtSource: startedAtSource,
    receivedAtUncertaintySeconds: hearingUncertaintySeconds(best),
  };
}

function sameCopies(stored: readonly StoredCopy[], { copies }: Transmission): boolean {
  const now = new Set(copies.map(keyOf));
  return stored.length === now.size && stored.every((copy) => now.has(keyOfStored(copy)));
}

function keyOf({ hearing, use, slots }: Transmission['copies'][number]): string {
  return keyOfStored({ recording: hearing.recording.id, burst: hearing.index, use, slots });
}

function keyOfStored({ recording, burst, use, slots }: Omit<StoredCopy, 'alone'>): string {
  return `${recording} ${burst} ${use} ${slots.join()}`;
}

/** A transmission as it was decided: the same copies are not decided twice. */
function asStored({ frame, copies }: FrameWithCopies, transmission: Transmission): Transmission {
  const place = (copy: Transmission['copies'][number]) => copies.findIndex((each) => keyOfStored(each) === keyOf(copy));
  return {
    ...transmission,
    reading: { mission: frame.mission, version: frame.version, decoded: frame.decoded },
    copies: [...transmission.copies].sort((a, b) => place(a) - place(b)),
  };
}

function frameOf({ frame }: FrameWithCopies): Undecided['frame'] {
  const { id, addedAt, source, readingsVersion, ...decided } = frame;
  return decided;
}

function stateOf({ frame, copies }: FrameWithCopies): FrameState {
  return { text: frame.decoded.text, trust: frame.decoded.trust, copies: copies.length };
}

async function withReadings(
  store: ReadingStore,
  frames: readonly (Undecided & { readonly id?: number })[],
  missions: readonly CurrentMission[],
): Promise<HeardFrame[]> {
  const read: HeardFrame[] = [];
  for (const group of new Set(frames.map(({ frame }) => `${frame.phase} ${frame.mission}`))) {
    const own = [...frames.entries()].filter(([, { frame }]) => `${frame.phase} ${frame.mission}` === group);
    const [, { frame: first }] = own[0];
    const current = missions.find(({ mission }) => mission.id === first.mission);
    const readings =
      current === undefined
        ? own.map(() => [])
        : await readFrames(
            store,
            current.mission,
            first.phase,
            own.map(([, { id, frame }]) => ({ ...(id === undefined ? {} : { id }), ...frame })),
          );
    for (const [i, [place, { frame, source, copies }]] of own.entries()) {
      const readingsVersion = current?.version ?? frame.version;
      read[place] = { frame: { ...frame, readings: readings[i], readingsVersion }, source, copies };
    }
  }
  return read;
}

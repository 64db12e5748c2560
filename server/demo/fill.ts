import { createReadStream } from 'node:fs';
import { setImmediate as breathe } from 'node:timers/promises';
import { readMission } from '../../decoders/mission/read.ts';
import type { Mission } from '../../decoders/mission/types.ts';
import { acceptLine } from '../intake/lines.ts';
import { acceptRecording } from '../intake/recordings.ts';
import type { CurrentMission } from '../missions/catalog.ts';
import { Refusal } from '../refusal.ts';
import type { Services } from '../services.ts';
import type { FrameQuery } from '../store/records.ts';
import { demoHistory, type HeardFrame } from './history.ts';
import { sampleDefinition, samplePath } from './samples.ts';
import { demoOrbit, lastFinePass } from './scene.ts';

const FLYING = 'dunlin-1';
const OTHER = 'plover-2';

/** Recordings of the last pass. `dunlin-power.wav` is left for the visitor to hand over. */
const RECORDINGS = [
  { file: 'dunlin-weak.wav', mission: FLYING, minutesAgo: 14 },
  { file: 'dunlin-three.wav', mission: FLYING, minutesAgo: 13 },
  { file: 'dunlin-cut.wav', mission: FLYING, minutesAgo: 9 },
  { file: 'plain-text.wav', mission: null, minutesAgo: 10 },
] as const;

/**
 * Fills a server with the demo: two invented missions, two weeks of frames that invented stations heard, and a few
 * recordings. Everything goes the way that real lines and recordings go. The history ends when the demo was first
 * started; what a stopped server had not got to is made up for at the next start.
 *
 * @param onProgress share of the history that is in, 0..1.
 */
export async function fillDemo(services: Services, onProgress: (done: number) => void = () => {}): Promise<void> {
  const flying = await saveDemoMission(services, FLYING);
  await saveDemoMission(services, OTHER);
  const [first] = (await services.store.missionVersions(FLYING)).slice(-1);
  await handOverRecordings(services, first.savedAt);
  await fillHistory(services, flying, first.savedAt, onProgress);
}

async function saveDemoMission({ store, catalog, clock }: Services, id: string): Promise<CurrentMission> {
  const known = await catalog.current(id);
  if (known !== null) return known;
  const definition = await sampleDefinition(id);
  const { name, callSign } = checked(definition);
  await store.saveMission({
    id,
    name,
    callSign,
    private: false,
    invented: true,
    definition,
    savedAt: clock(),
    expected: 0,
  });
  const saved = await catalog.current(id);
  if (saved === null) throw new Error(`the demo mission ${id} could not be stored`);
  return saved;
}

function checked(definition: unknown): Mission {
  const { mission, faults } = readMission(definition);
  if (mission === null) throw new Error(`a demo mission is faulty: ${faults.map(({ path }) => path).join(', ')}`);
  return mission;
}

async function handOverRecordings(services: Services, nowMs: number): Promise<void> {
  const { files } = services;
  const heardBy = lastFinePass(demoOrbit(nowMs), nowMs)?.station.callSign ?? 'Q1ANK';
  for (const { file, mission, minutesAgo } of RECORDINGS) {
    const incoming = await files.receive(createReadStream(samplePath(file)));
    await acceptRecording(services, incoming, {
      mission,
      station: heardBy,
      vouched: true,
      phase: 'flight',
      startedAt: nowMs - minutesAgo * 60_000,
      timeAccuracySeconds: 1,
      timeBase: null,
      fileName: file,
      bandClaim: null,
    });
  }
}

/** Newest first, so that the pages are right about the present at once. */
async function fillHistory(
  services: Services,
  mission: CurrentMission,
  nowMs: number,
  onProgress: (done: number) => void,
): Promise<void> {
  const history = await newestFirst(demoHistory(mission.mission, nowMs));
  const known = await heardAlready(services);
  for (const [index, frame] of history.entries()) {
    if (known.has(keyOf(frame.station, frame.receivedAtMs))) continue;
    await handOverLine(services, mission, frame);
    onProgress((index + 1) / history.length);
    // Visitors come first.
    await breathe();
  }
}

async function newestFirst(history: Iterable<HeardFrame>): Promise<HeardFrame[]> {
  const frames: HeardFrame[] = [];
  for (const frame of history) {
    if (frames.push(frame) % 64 === 0) await breathe();
  }
  return frames.reverse();
}

async function handOverLine(
  services: Services,
  mission: CurrentMission,
  { station, receivedAtMs, text }: HeardFrame,
): Promise<void> {
  try {
    await acceptLine(services, mission, { station, vouched: true, receivedAt: receivedAtMs, phase: 'flight', text });
  } catch (error) {
    // Now and then the air has left too little of a frame: it is refused, as anybody's would be.
    if (!(error instanceof Refusal)) throw error;
  }
}

/** What an earlier start has filled in. */
async function heardAlready({ store }: Services): Promise<ReadonlySet<string>> {
  const keys = new Set<string>();
  for (let after: FrameQuery['after'] = null; ; ) {
    const frames = await store.frames({
      mission: FLYING,
      from: null,
      to: null,
      station: null,
      leastTrust: 'doubtful',
      phase: 'flight',
      limit: 200,
      after,
    });
    for (const { station, receivedAt } of frames) keys.add(keyOf(station, receivedAt));
    const last = frames.at(-1);
    if (last === undefined) return keys;
    after = { receivedAt: last.receivedAt, id: last.id };
    await breathe();
  }
}

function keyOf(station: string, receivedAtMs: number | null): string {
  return `${station} ${receivedAtMs}`;
}

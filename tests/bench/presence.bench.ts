import { knownBeacons } from '../../decoders/frames/known-beacons.ts';
import type { Mission } from '../../decoders/mission/types.ts';
import { MissionPresence } from '../../decoders/presence.ts';
import { createKnownAcquirer } from '../../decoders/signal/known/acquirer.ts';
import { findPresence } from '../../decoders/signal/known/presence.ts';
import type { Sighting } from '../../decoders/signal/known/search.ts';
import { addNoiseAtEbN0 } from '../../decoders/simulate/channel.ts';
import { Random } from '../../decoders/simulate/random.ts';
import { keyBurst } from '../../decoders/simulate/transmitter.ts';
import { encode } from '../../decoders/teletype/alphabets.ts';
import { MATERIALS } from './support/material.ts';
import { mostMean } from './support/poisson.ts';
import { CHANNEL, type FrameShape, SHAPES } from './support/shapes.ts';
import { RATE_HZ } from './support/signal.ts';
import { printTable } from './support/table.ts';
import { runTrials } from './support/trials.ts';
import { proportion } from './support/wilson.ts';

/** Everything so many times longer: 1 is a glance of a minute. */
const TIMES = Number(process.env.FIVEUNIT_BENCH_TIMES ?? 1);
const PASSES = 2 * TIMES;
const NOISE_PASSES = 60 * TIMES;
const MATERIAL_PASSES = TIMES;
const PASS_SECONDS = 600;
const LEVELS_DB = [-7, -6, -5, -4, -2];
const INTERVALS_SECONDS = [20, 60, 180];
const TAIL = [0.5, 0.2, 0.1, 0.03, 0.01, 1e-3];

/** What is looked for where nothing is: every shape of frame at every interval, all loaded at once. */
const LOADED: readonly Mission[] = INTERVALS_SECONDS.flatMap((intervalSeconds) =>
  SHAPES.map(({ name, mission }) => ({
    ...mission,
    id: `${name} ${intervalSeconds}`,
    beacon: { ...mission.beacon, intervalSeconds },
  })),
);

interface Row {
  readonly name: string;
  readonly passes: number;
  /** The pass, and the missions that are loaded. */
  readonly pass: (pass: number) => Float32Array;
  readonly missions: readonly Mission[];
}

interface Outcome {
  readonly row: number;
  /** Of each mission that is said to be present. */
  readonly said: readonly { readonly transmissions: number; readonly ebN0Db: number }[];
  /** The false-alarm probability that each mission came to, said or not. */
  readonly chances: readonly number[];
}

const BEACON_ROWS: readonly Row[] = SHAPES.flatMap((shape) =>
  LEVELS_DB.map((ebN0Db) => ({
    name: `${shape.name}, ${ebN0Db} dB`,
    passes: PASSES,
    pass: (pass: number) => passWith(shape.draw, ebN0Db, new Random(20_000 + 1000 * ebN0Db + pass)),
    missions: [shape.mission],
  })),
);

const NOISE_ROW: Row = {
  name: 'noise',
  passes: NOISE_PASSES,
  pass: (pass) => {
    const samples = new Float32Array(PASS_SECONDS * RATE_HZ);
    new Random(30_000 + pass).addGaussian(samples, 0.2);
    return samples;
  },
  missions: LOADED,
};

const MATERIAL_ROWS: readonly Row[] = MATERIALS.map(({ name, make }) => ({
  name,
  passes: MATERIAL_PASSES,
  pass: (pass) => {
    const samples = new Float32Array(PASS_SECONDS * RATE_HZ);
    make({ sampleRateHz: RATE_HZ, seed: 40_000 + pass }).fill(samples);
    return samples;
  },
  missions: LOADED,
}));

const ROWS: readonly Row[] = [...BEACON_ROWS, NOISE_ROW, ...MATERIAL_ROWS];

/**
 * A beacon too weak to be read, known by its interval. Passes of ten minutes with ten transmissions, each up to 20 ms
 * early or late, tones off by up to 50 Hz; against passes without any, while nine missions are looked for at once: three
 * shapes of frame at intervals of 20, 60 and 180 s.
 */
export async function run(): Promise<void> {
  if (!(TIMES >= 1)) throw new Error(`FIVEUNIT_BENCH_TIMES must be 1 or more, not ${TIMES}`);
  const results = ROWS.map(() => ({ done: 0, alarms: 0, transmissions: 0, level: 0, chances: [] as number[] }));
  // Every row is done to the same share, however early it is interrupted.
  const trials = ROWS.flatMap(({ passes }, row) => Array.from({ length: passes }, (_, pass) => ({ row, pass }))).sort(
    (a, b) => a.pass / ROWS[a.row].passes - b.pass / ROWS[b.row].passes,
  );
  await runTrials<Outcome>({
    url: import.meta.url,
    count: trials.length,
    trial: (seed) => tryPass(trials[seed].row, trials[seed].pass),
    take: ({ row, said, chances }) => {
      const result = results[row];
      result.done++;
      result.chances.push(...chances);
      if (said.length > 0) result.alarms++;
      for (const { transmissions, ebN0Db } of said) {
        result.transmissions += transmissions;
        result.level += ebN0Db;
      }
    },
  });
  printTable(
    'Presence, ten transmissions a pass (95 % intervals)',
    ['frame, Eb/N0', 'passes', 'present', 'transmissions made out', 'level measured, dB'],
    BEACON_ROWS.map(({ name }, row) => {
      const { done, alarms, transmissions, level } = results[row];
      const mean = (sum: number) => (alarms > 0 ? (sum / alarms).toFixed(1) : '');
      return [name, `${done}`, proportion(alarms, done), mean(transmissions), mean(level)];
    }),
  );
  printTable(
    'Presence where there is none',
    ['material', 'passes', 'said to be present', '95 % sure: less than'],
    [NOISE_ROW, ...MATERIAL_ROWS].map(({ name }, k) => {
      const { done, alarms } = results[BEACON_ROWS.length + k];
      return [name, `${done}`, `${alarms}`, limit(alarms, done)];
    }),
  );
  const { chances } = results[BEACON_ROWS.length];
  printTable(
    'False-alarm probability of one mission in noise: what is computed against how often it comes',
    ['computed, at most', 'passes and missions', 'came', 'share', '95 % sure: less than'],
    TAIL.map((most) => {
      const came = chances.filter((chance) => chance <= most).length;
      const share = (came / Math.max(1, chances.length)).toPrecision(2);
      return [`${most}`, `${chances.length}`, `${came}`, share, limit(came, chances.length)];
    }),
  );
}

function limit(count: number, of: number): string {
  return of === 0 ? '' : (mostMean(count) / of).toPrecision(2);
}

/** The search alone: what presence is made of needs no burst to be read. */
function tryPass(row: number, pass: number): Outcome {
  const { missions, pass: make } = ROWS[row];
  const samples = make(pass);
  const presence = new MissionPresence();
  const sightings = new Map<Mission, Sighting[]>(missions.map((mission) => [mission, []]));
  for (const beacon of knownBeacons(missions, null)) {
    const see = presence.watch(beacon);
    const acquirer = createKnownAcquirer(beacon, (sighting) => {
      see(sighting);
      sightings.get(beacon.missionOfPattern[sighting.pattern])?.push(sighting);
    });
    acquirer.push(samples, () => {});
    acquirer.end(() => {});
  }
  const chances = missions.map((mission) => {
    const own = sightings.get(mission)?.sort((a, b) => a.startSeconds - b.startSeconds) ?? [];
    const found = findPresence(own, mission.beacon.intervalSeconds ?? 0, CHANNEL.baud, 0, PASS_SECONDS);
    return found?.falseAlarmProbability ?? 1;
  });
  return { row, said: presence.end(PASS_SECONDS), chances };
}

/** Ten transmissions at an interval within 1 % of the stated one, in noise. */
function passWith(draw: FrameShape['draw'], ebN0Db: number, random: Random): Float32Array {
  const samples = new Float32Array(PASS_SECONDS * RATE_HZ);
  const interval = CHANNEL.intervalSeconds * random.uniform(0.992, 1.008);
  const offsetHz = random.uniform(-50, 50);
  const first = random.uniform(0.5, PASS_SECONDS - 9 * interval - 14);
  for (let k = 0; k < 10; k++) {
    const at = (first + k * interval + random.uniform(-0.02, 0.02)) * RATE_HZ;
    const burst = keyBurst(encode(draw(random), 'ita2', { startShift: 'unknown' }), {
      sampleRateHz: RATE_HZ,
      baud: CHANNEL.baud,
      stopElements: CHANNEL.stopElements,
      markHz: CHANNEL.markHz + offsetHz,
      spaceHz: CHANNEL.spaceHz + offsetHz,
      amplitude: 0.3,
      startPhaseRadians: random.uniform(0, 2 * Math.PI),
      startOffsetSamples: at - Math.floor(at),
      leadMarkElements: 9,
      tailMarkElements: 6,
    });
    for (let i = 0; i < burst.length; i++) samples[Math.floor(at) + i] += burst[i];
  }
  addNoiseAtEbN0(samples, { ebN0Db, baud: CHANNEL.baud, sampleRateHz: RATE_HZ, signalPower: 0.045, random });
  return samples;
}

import { knownBeacons } from '../../decoders/frames/known-beacons.ts';
import { MissionPresence } from '../../decoders/presence.ts';
import { createKnownAcquirer } from '../../decoders/signal/known/acquirer.ts';
import { addNoiseAtEbN0 } from '../../decoders/simulate/channel.ts';
import {
  arpeggios,
  carriers,
  dtmf,
  morse,
  music,
  selectiveCall,
  speech,
  steadyTone,
  synchronousFsk,
  whiteNoise,
} from '../../decoders/simulate/material/index.ts';
import { Random } from '../../decoders/simulate/random.ts';
import { mix, type Source } from '../../decoders/simulate/source.ts';
import { keyBurst } from '../../decoders/simulate/transmitter.ts';
import { encode } from '../../decoders/teletype/alphabets.ts';
import { BurstReader, type ReadBurst } from '../../decoders/teletype/burst-reader.ts';
import { mostMean } from './support/poisson.ts';
import { CHANNEL, type FrameShape, SHAPES } from './support/shapes.ts';
import { noisyBurst, RATE_HZ } from './support/signal.ts';
import { printTable } from './support/table.ts';
import { proportion } from './support/wilson.ts';

/** Everything so many times longer: 1 is a glance of two minutes. */
const TIMES = Number(process.env.FIVEUNIT_BENCH_TIMES ?? 1);
const BURSTS = 24 * TIMES;
const MATERIAL_SECONDS = 240 * TIMES;
const PASSES = 5 * TIMES;
const NOISE_PASSES = 20 * TIMES;
const MATERIAL_PASSES = TIMES;
const PASS_SECONDS = 600;
const ELEMENT_SECONDS = 1 / CHANNEL.baud;

/**
 * What a loaded mission adds to the search. Bursts: phase-continuous, tones off by up to 50 Hz, tones, phase and timing
 * off every grid; "on clock": nine in ten characters within a third of an element of where they were sent. Presence: ten
 * transmissions a pass of ten minutes, each up to 20 ms early or late, against passes without any.
 */
export async function run(): Promise<void> {
  if (!(TIMES >= 1)) throw new Error(`FIVEUNIT_BENCH_TIMES must be 1 or more, not ${TIMES}`);
  printTable(
    `Detection with and without the mission, ${BURSTS} bursts a row (95 % intervals)`,
    ['frame', 'Eb/N0 dB', 'found without', 'found with', 'tones within 3 Hz', 'on clock', 'besides'],
    SHAPES.flatMap((shape) => [0, 1, 2, 3].map((ebN0Db) => detect(shape, ebN0Db))),
  );
  printTable(
    `False bursts, ${MATERIAL_SECONDS} s a row; an hour: 95 % sure fewer than`,
    ['material', 'without', 'with', 'without, an hour', 'with, an hour'],
    Object.entries(material(1)).map(([name, source]) => falseBursts(name, source)),
  );
  printTable(
    `Presence, ${PASSES} passes a row of ten transmissions each (95 % intervals)`,
    ['frame', 'Eb/N0 dB', 'present', 'transmissions made out', 'level measured, dB'],
    SHAPES.flatMap((shape) => [-4, -3, -2, 0].map((ebN0Db) => present(shape, ebN0Db))),
  );
  printTable(
    'Presence where there is none',
    ['material', 'passes', 'said to be present', '95 % sure: less than'],
    falsePresence(),
  );
}

function detect({ name, mission, draw }: FrameShape, ebN0Db: number): string[] {
  const beacons = knownBeacons([mission], null).map((beacon) => ({ beacon }));
  const counts = { blind: 0, known: 0, tones: 0, clock: 0, besides: 0 };
  for (let i = 0; i < BURSTS; i++) {
    const random = new Random(10_000 + 1000 * ebN0Db + i);
    const codes = encode(draw(random), 'ita2', { startShift: 'unknown' });
    const burst = noisyBurst({ codes, ebN0Db, random });
    const blind = readAll(burst.samples, []);
    const known = readAll(burst.samples, beacons);
    if (blind.length > 0) counts.blind++;
    counts.besides += Math.max(0, known.length - 1);
    const [first] = known;
    if (!first) continue;
    counts.known++;
    const { markHz, spaceHz, soft } = first.signal;
    if (Math.max(Math.abs(markHz - burst.markHz), Math.abs(spaceHz - burst.spaceHz)) < 3) counts.tones++;
    // Six elements of idle mark follow the text.
    const endSeconds = burst.burstTo / RATE_HZ - 6 * ELEMENT_SECONDS;
    const onClock = soft.startSeconds.filter((start) => {
      const characters = (endSeconds - start) / (7.5 * ELEMENT_SECONDS);
      return characters < codes.length + 0.1 && Math.abs(characters - Math.round(characters)) * 7.5 < 1 / 3;
    });
    if (onClock.length >= 0.9 * Math.min(codes.length, soft.count)) counts.clock++;
  }
  const { blind, known, tones, clock, besides } = counts;
  const shares = [blind, known, tones, clock].map((count) => proportion(count, BURSTS));
  return [name, `${ebN0Db}`, ...shares, `${besides}`];
}

function readAll(
  samples: Float32Array,
  beacons: NonNullable<ConstructorParameters<typeof BurstReader>[0]['beacons']>,
): ReadBurst[] {
  const reader = new BurstReader({ sampleRateHz: RATE_HZ, bauds: [CHANNEL.baud], beacons });
  const found: ReadBurst[] = [];
  reader.push(samples, (read) => found.push(read));
  reader.end((read) => found.push(read));
  return found;
}

function material(seed: number): Record<string, Source> {
  const options = (label: number, gain = 1) => ({ sampleRateHz: RATE_HZ, seed: 100 * seed + label, gain });
  return {
    noise: whiteNoise(options(1, 0.3)),
    speech: speech(options(2)),
    'faint speech in noise': mix(speech(options(3, 0.1)), whiteNoise(options(4, 0.3))),
    DTMF: dtmf(options(5)),
    music: music(options(6)),
    'drifting carriers': carriers({ ...options(7), mostDriftHzPerSecond: 20 }),
    'carriers on both tones, in noise': mix(
      mix(steadyTone(CHANNEL.markHz + 2, options(8, 0.1)), steadyTone(CHANNEL.spaceHz + 2, options(9, 0.1))),
      whiteNoise(options(10, 0.3)),
    ),
    'selective calls': selectiveCall(options(11)),
    Morse: morse(options(12)),
    arpeggios: arpeggios(options(13)),
    'synchronous FSK': synchronousFsk(options(14)),
  };
}

/** Bursts that a reader gives, with and without the missions of all shapes. */
function falseBursts(name: string, source: Source): string[] {
  const beacons = knownBeacons(
    SHAPES.map(({ mission }) => mission),
    null,
  ).map((beacon) => ({ beacon }));
  const counts = [0, 0];
  const readers = [[], beacons].map(
    (each) => new BurstReader({ sampleRateHz: RATE_HZ, bauds: [CHANNEL.baud], beacons: each }),
  );
  const block = new Float32Array(RATE_HZ);
  for (let second = 0; second < MATERIAL_SECONDS; second++) {
    source.fill(block);
    for (const [i, reader] of readers.entries()) reader.push(block, () => counts[i]++);
  }
  for (const [i, reader] of readers.entries()) reader.end(() => counts[i]++);
  const anHour = counts.map((count) => ((3600 * mostMean(count)) / MATERIAL_SECONDS).toFixed(1));
  return [name, ...counts.map(String), ...anHour];
}

function present({ name, mission, draw }: FrameShape, ebN0Db: number): string[] {
  let found = 0;
  let transmissions = 0;
  let level = 0;
  for (let i = 0; i < PASSES; i++) {
    const random = new Random(20_000 + 1000 * ebN0Db + i);
    const [presence] = presenceIn(passWith(draw, ebN0Db, random), [mission]);
    if (!presence) continue;
    found++;
    transmissions += presence.transmissions;
    level += presence.ebN0Db;
  }
  const mean = (sum: number) => (found > 0 ? (sum / found).toFixed(1) : '');
  return [name, `${ebN0Db}`, proportion(found, PASSES), mean(transmissions), mean(level)];
}

function falsePresence(): string[][] {
  const missions = SHAPES.map(({ mission }, i) => ({ ...mission, id: `bench-${i}` }));
  const count = (passes: number, passOf: (pass: number) => Float32Array): string[] => {
    let said = 0;
    for (let pass = 0; pass < passes; pass++) if (presenceIn(passOf(pass), missions).length > 0) said++;
    return [`${passes}`, `${said}`, (mostMean(said) / passes).toPrecision(2)];
  };
  const noise = count(NOISE_PASSES, (pass) => {
    const samples = new Float32Array(PASS_SECONDS * RATE_HZ);
    new Random(30_000 + pass).addGaussian(samples, 0.2);
    return samples;
  });
  const others = Object.keys(material(1))
    .slice(1)
    .map((name) => {
      const counted = count(MATERIAL_PASSES, (pass) => {
        const samples = new Float32Array(PASS_SECONDS * RATE_HZ);
        material(100 + pass)[name].fill(samples);
        return samples;
      });
      return [name, ...counted];
    });
  return [['noise', ...noise], ...others];
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

/** The search alone: what presence is made of needs no burst to be read. */
function presenceIn(samples: Float32Array, missions: readonly FrameShape['mission'][]) {
  const presence = new MissionPresence();
  for (const beacon of knownBeacons(missions, null)) {
    const acquirer = createKnownAcquirer(beacon, presence.watch(beacon));
    acquirer.push(samples, () => {});
    acquirer.end(() => {});
  }
  return presence.end(samples.length / RATE_HZ);
}

import { knownBeacons } from '../../decoders/frames/known-beacons.ts';
import { whiteNoise } from '../../decoders/simulate/material/index.ts';
import { Random } from '../../decoders/simulate/random.ts';
import { encode } from '../../decoders/teletype/alphabets.ts';
import { BurstReader } from '../../decoders/teletype/burst-reader.ts';
import type { ReadBurst } from '../../decoders/teletype/read-acquired.ts';
import { MATERIALS, type Material } from './support/material.ts';
import { mostMean } from './support/poisson.ts';
import { CHANNEL, type FrameShape, SHAPES } from './support/shapes.ts';
import { noisyBurst, RATE_HZ } from './support/signal.ts';
import { printTable } from './support/table.ts';
import { proportion } from './support/wilson.ts';

/** Everything so many times longer: 1 is a glance of a minute. */
const TIMES = Number(process.env.FIVEUNIT_BENCH_TIMES ?? 1);
const BURSTS = 24 * TIMES;
const MATERIAL_SECONDS = 240 * TIMES;
const NOISE: Material = { name: 'noise', make: (options) => whiteNoise({ ...options, gain: 0.3 }) };
const ELEMENT_SECONDS = 1 / CHANNEL.baud;

/**
 * What a loaded mission adds to the search. Bursts: phase-continuous, tones off by up to 50 Hz, tones, phase and timing
 * off every grid; "on clock": nine in ten characters within a third of an element of where they were sent.
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
    [NOISE, ...MATERIALS].map(falseBursts),
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

/** Bursts that a reader gives, with and without the missions of all shapes. */
function falseBursts({ name, make }: Material, row: number): string[] {
  const source = make({ sampleRateHz: RATE_HZ, seed: 100 + row });
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

import { createAcquirer } from '../../decoders/signal/acquirer.ts';
import type { Acquisition } from '../../decoders/signal/types.ts';
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
import { keyBurst, type PhaseLaw } from '../../decoders/simulate/transmitter.ts';
import { encode } from '../../decoders/teletype/alphabets.ts';
import { BurstReader } from '../../decoders/teletype/burst-reader.ts';
import { mostMean } from './support/poisson.ts';
import { RATE_HZ } from './support/signal.ts';
import { printTable } from './support/table.ts';
import { proportion } from './support/wilson.ts';

const BURSTS = 100;
/** Seconds of each kind of material; `FIVEUNIT_BENCH_SECONDS` sets another number, 600 makes an hour of the six. */
const SECONDS = Number(process.env.FIVEUNIT_BENCH_SECONDS ?? 600);
/** Materials, from the first on, that are counted together: what recordings of a satellite pass may hold. */
const USUAL = 6;

const BAUDS = [500 / 11, 50, 75, 100, 110, 150, 200, 300];
/** Of a sender's clock. */
const MOST_CLOCK_ERROR = 0.005;
const STOPS = [1, 1.42, 1.5, 2];
const PHASES: readonly PhaseLaw[] = ['continuous', 'switched', 'random'];

/**
 * Detection with everything drawn at random and off every grid (speed within 0.5 % of a usual one, shift from 85 Hz or
 * one speed to 850 Hz, stop, polarity, tones, phase law, start; 62 characters), other bursts and other noise in each row;
 * and false bursts from what else stands on recordings, counted where a person would see them: behind the demodulator.
 */
export async function run(): Promise<void> {
  if (!(SECONDS > 0)) throw new Error(`FIVEUNIT_BENCH_SECONDS must be a positive number, not ${SECONDS}`);
  const rows = [0, 50].flatMap((mostDrift) => [3, 4, 5, 8, 15].map((ebN0Db) => detect(ebN0Db, mostDrift)));
  printTable(
    `Detection, ${BURSTS} bursts a row`,
    ['Eb/N0 dB', 'drift up to Hz/s', 'found', 'all right', 'besides'],
    rows,
  );
  const counts = Object.entries(material()).map(([name, source]) => ({ name, bursts: countBursts(source) }));
  const usual = counts.slice(0, USUAL).reduce((sum, { bursts }) => sum + bursts, 0);
  printTable(
    'False bursts',
    ['material', 'seconds', 'bursts', 'an hour', '95 % sure: fewer than'],
    [
      ...counts.map(({ name, bursts }) => falseRow(name, bursts, SECONDS)),
      falseRow('the first six together', usual, USUAL * SECONDS),
    ],
  );
}

function falseRow(name: string, bursts: number, seconds: number): string[] {
  const anHour = (count: number) => ((3600 * count) / seconds).toFixed(1);
  return [name, `${seconds}`, `${bursts}`, anHour(bursts), anHour(mostMean(bursts))];
}

function detect(ebN0Db: number, mostDrift: number): string[] {
  let found = 0;
  let right = 0;
  let besides = 0;
  for (let i = 0; i < BURSTS; i++) {
    const random = new Random(1000 * (100 * mostDrift + ebN0Db) + i);
    const baud = random.pick(BAUDS) * (1 + random.uniform(-MOST_CLOCK_ERROR, MOST_CLOCK_ERROR));
    const stopElements = random.pick(STOPS);
    const leastShift = Math.max(85, baud);
    const shiftHz = leastShift * (850 / leastShift) ** random.uniform();
    const lowHz = random.uniform(400, 2900 - shiftHz);
    const markIsHigher = random.uniform() < 0.5;
    const text = Array.from({ length: 60 }, () => random.pick([...'ABCDEFGHIJKLMNOPQRSTUVWXYZ 0123456789'])).join('');
    const codes = encode(text, 'ita2', { startShift: 'unknown' }).slice(0, 62);
    const burst = keyBurst(codes, {
      sampleRateHz: RATE_HZ,
      baud,
      stopElements,
      markHz: markIsHigher ? lowHz + shiftHz : lowHz,
      spaceHz: markIsHigher ? lowHz : lowHz + shiftHz,
      amplitude: 0.3,
      phase: random.pick(PHASES),
      random,
      startPhaseRadians: random.uniform(0, 2 * Math.PI),
      spacePhaseRadians: random.uniform(0, 2 * Math.PI),
      startOffsetSamples: random.uniform(),
      driftHzPerSecond: random.uniform(-mostDrift, mostDrift),
      leadMarkElements: random.uniform(0, 10),
      tailMarkElements: 6,
    });
    const from = 4 * RATE_HZ;
    const samples = new Float32Array(burst.length + 8 * RATE_HZ);
    samples.set(burst, from);
    addNoiseAtEbN0(samples, { ebN0Db, baud, sampleRateHz: RATE_HZ, signalPower: 0.045, random });
    const acquirer = createAcquirer({ sampleRateHz: RATE_HZ });
    const all: Acquisition[] = [];
    acquirer.push(samples, (each) => all.push(each));
    acquirer.end((each) => all.push(each));
    const own = all.filter((each) => each.endSeconds > 4 && each.startSeconds < 4 + burst.length / RATE_HZ);
    if (own.length > 0) found++;
    besides += all.length - Math.min(1, own.length);
    const [first] = own;
    if (first && Math.abs(first.baud / baud - 1) < 0.015 && first.markHz > first.spaceHz === markIsHigher) right++;
  }
  return [`${ebN0Db}`, `${mostDrift}`, proportion(found, BURSTS), proportion(right, BURSTS), `${besides}`];
}

function material(): Record<string, Source> {
  const options = { sampleRateHz: RATE_HZ };
  return {
    speech: speech({ ...options, seed: 1 }),
    'speech over CTCSS 88.5 Hz': mix(
      speech({ ...options, seed: 2 }),
      steadyTone(88.5, { ...options, seed: 3, gain: 0.2 }),
    ),
    DTMF: dtmf({ ...options, seed: 4 }),
    music: music({ ...options, seed: 5 }),
    carriers: carriers({ ...options, seed: 6 }),
    noise: whiteNoise({ ...options, seed: 7, gain: 0.3 }),
    'selective calls': selectiveCall({ ...options, seed: 8 }),
    Morse: morse({ ...options, seed: 9 }),
    arpeggios: arpeggios({ ...options, seed: 10 }),
    'synchronous FSK': synchronousFsk({ ...options, seed: 11 }),
  };
}

function countBursts(source: Source): number {
  const reader = new BurstReader({ sampleRateHz: RATE_HZ });
  const block = new Float32Array(RATE_HZ);
  let bursts = 0;
  for (let second = 0; second < SECONDS; second++) {
    source.fill(block);
    reader.push(block, () => bursts++);
  }
  reader.end(() => bursts++);
  return bursts;
}

import { createLiveDecoder } from '../../decoders/live/live-decoder.ts';
import { readMission } from '../../decoders/mission/read.ts';
import { addNoiseAtEbN0 } from '../../decoders/simulate/channel.ts';
import { Random } from '../../decoders/simulate/random.ts';
import { keyBurst } from '../../decoders/simulate/transmitter.ts';
import { encode } from '../../decoders/teletype/alphabets.ts';
import { digitDefinition } from './support/frames.ts';
import { mostMean } from './support/poisson.ts';
import { CHANNEL } from './support/shapes.ts';
import { printTable } from './support/table.ts';
import { wilson } from './support/wilson.ts';

const RATE_HZ = 48_000;
const BAUD = 500 / 11;
const BURSTS = 20;
const GAP_SECONDS = 4;
/** Start, five of data and one of stop. */
const CHARACTER_ELEMENTS = 7;
/** Samples a block, as a browser gives them. */
const BLOCK = 128;
const { mission: MISSION } = readMission(digitDefinition('crc-16/ibm-3740', undefined, CHANNEL));
const TEXT = 'Q0DUN A 0123 4567 8901 2345 6789 0123 4567 8901 2345 6C1E';

/** What the product owes. */
const MOST_LATE_SECONDS = 0.5;
/** Of a burst the characters that a beginning is told by. */
const FIRST = 3;
const NOISE_SEEDS = [1, 2, 3];
const NOISE_RATE_HZ = 8000;
const NOISE_HOURS = Number(process.env.FIVEUNIT_BENCH_HOURS ?? 2);

/** Time, in the stream's own seconds, from the end of a character's last element until it is told; what it costs; what noise brings. */
export async function run(): Promise<void> {
  const rows: string[][] = [];
  for (const loaded of [true, false]) {
    for (const ebN0Db of [14, 10, 7, 5]) rows.push(measure(loaded, ebN0Db));
  }
  const heads = ['mission', 'Eb/N0', 'characters', `within ${MOST_LATE_SECONDS} s (95 %)`, `first ${FIRST}`];
  heads.push('right', 'late 50 %', '95 %', 'most, s', 'x real time');
  printTable(`Characters while they come, 45.45 Bd, ${RATE_HZ / 1000} kHz, ${BURSTS} bursts`, heads, rows);
  const counts = NOISE_SEEDS.map(beginningsInNoise);
  const sum = counts.reduce((total, count) => total + count, 0);
  const hours = NOISE_HOURS * NOISE_SEEDS.length;
  printTable(
    'Beginnings told in noise, mission loaded',
    ['hours', ...NOISE_SEEDS.map((seed) => `seed ${seed}`), 'an hour', 'below (95 % sure)'],
    [[String(hours), ...counts.map(String), (sum / hours).toFixed(2), (mostMean(sum) / hours).toFixed(2)]],
  );
}

function measure(loaded: boolean, ebN0Db: number): string[] {
  const random = new Random(ebN0Db);
  const { samples, starts, codes } = scene(ebN0Db, random);
  const options = { sampleRateHz: RATE_HZ, missions: loaded && MISSION ? [MISSION] : [] };
  const decoder = createLiveDecoder(options);
  /** Seconds from the end of each character until it was told. */
  const late = new Map<number, number>();
  const acquiredSeconds: number[] = [];
  let right = 0;
  const began = process.cpuUsage();
  for (let at = 0; at < samples.length; at += BLOCK) {
    decoder.push(samples.subarray(at, at + BLOCK), (event) => {
      const nowSeconds = Math.min(samples.length, at + BLOCK) / RATE_HZ;
      if (event.type === 'acquired') acquiredSeconds.push(nowSeconds);
      if (event.type !== 'character') return;
      const i = starts.findIndex((start) => Math.abs(start - event.startSeconds) < 0.5 / BAUD);
      if (i < 0 || late.has(i)) return;
      late.set(i, nowSeconds - event.endSeconds);
      if (codes[i] === event.code) right++;
    });
  }
  const { user, system } = process.cpuUsage(began);
  const perBurst = starts.length / BURSTS;
  // Without a mission those are owed that end after their burst was found.
  const owed = starts.flatMap((start, i) => {
    if (loaded) return [i];
    const endSeconds = start + CHARACTER_ELEMENTS / BAUD;
    const first = starts[i - (i % perBurst)];
    return acquiredSeconds.some((found) => found > first && found < endSeconds) ? [i] : [];
  });
  const isInTime = (i: number) => (late.get(i) ?? Number.POSITIVE_INFINITY) <= MOST_LATE_SECONDS;
  const inTime = owed.filter(isInTime).length;
  const firsts = owed.filter((i) => i % perBurst < FIRST);
  const told = owed.flatMap((i) => late.get(i) ?? []).sort((a, b) => a - b);
  const part = (share: number) => (told[Math.min(told.length - 1, Math.floor(share * told.length))] ?? 0).toFixed(2);
  const [low, high] = wilson(inTime, owed.length);
  return [
    loaded ? 'loaded' : 'none, once found',
    `${ebN0Db} dB`,
    String(owed.length),
    `${percent(inTime / owed.length)} (${percent(low)}-${percent(high)})`,
    firsts.length === 0 ? '-' : `${firsts.filter(isInTime).length} of ${firsts.length}`,
    percent(right / Math.max(1, late.size)),
    part(0.5),
    part(0.95),
    part(1),
    (samples.length / RATE_HZ / ((user + system) / 1e6)).toFixed(0),
  ];
}

function beginningsInNoise(seed: number): number {
  const random = new Random(seed);
  const decoder = createLiveDecoder({ sampleRateHz: NOISE_RATE_HZ, missions: MISSION ? [MISSION] : [] });
  const second = new Float32Array(NOISE_RATE_HZ);
  let begun = 0;
  for (let n = 0; n < 3600 * NOISE_HOURS; n++) {
    second.fill(0);
    random.addGaussian(second, 0.1);
    decoder.push(second, ({ type }) => {
      if (type === 'acquired') begun++;
    });
  }
  return begun;
}

const percent = (share: number): string => `${(100 * share).toFixed(1)} %`;

function scene(ebN0Db: number, random: Random) {
  const codes = encode(TEXT, 'ita2', { startShift: 'unknown' });
  const lead = 9;
  const burst = keyBurst(codes, {
    sampleRateHz: RATE_HZ,
    baud: BAUD,
    stopElements: 1.5,
    markHz: 1275,
    spaceHz: 1445,
    amplitude: 0.2,
    leadMarkElements: lead,
    tailMarkElements: 9,
  });
  const every = burst.length + GAP_SECONDS * RATE_HZ;
  const samples = new Float32Array(BURSTS * every + GAP_SECONDS * RATE_HZ);
  const starts: number[] = [];
  for (let n = 0; n < BURSTS; n++) {
    const at = n * every + Math.round(random.uniform(2, 4) * RATE_HZ);
    samples.set(burst, at);
    for (let i = 0; i < codes.length; i++) starts.push(at / RATE_HZ + (lead + 7.5 * i) / BAUD);
  }
  addNoiseAtEbN0(samples, { ebN0Db, baud: BAUD, sampleRateHz: RATE_HZ, signalPower: 0.02, random });
  return { samples, starts, codes: Array.from({ length: BURSTS }, () => codes).flat() };
}

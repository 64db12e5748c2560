import { createLiveDecoder } from '../../decoders/live/live-decoder.ts';
import { readMission } from '../../decoders/mission/read.ts';
import { addNoiseAtEbN0 } from '../../decoders/simulate/channel.ts';
import { Random } from '../../decoders/simulate/random.ts';
import { keyBurst } from '../../decoders/simulate/transmitter.ts';
import { encode } from '../../decoders/teletype/alphabets.ts';
import { digitDefinition } from './support/frames.ts';
import { CHANNEL } from './support/shapes.ts';
import { printTable } from './support/table.ts';

const RATE_HZ = 48_000;
const BAUD = 500 / 11;
const BURSTS = 20;
const GAP_SECONDS = 4;
/** Samples a block, as a browser gives them. */
const BLOCK = 128;
const { mission: MISSION } = readMission(digitDefinition('crc-16/ibm-3740', undefined, CHANNEL));
const TEXT = 'Q0DUN A 0123 4567 8901 2345 6789 0123 4567 8901 2345 6C1E';

/** Time, in the stream's own seconds, from the end of a character's last element until it is told; and what it costs. */
export async function run(): Promise<void> {
  const rows: string[][] = [];
  for (const loaded of [true, false]) {
    for (const ebN0Db of [14, 10, 7]) rows.push(measure(loaded, ebN0Db));
  }
  const heads = ['mission', 'Eb/N0', 'characters', 'told', 'right', 'late 50 %', '95 %', 'most, s', 'x real time'];
  printTable(`Characters while they come, 45.45 Bd, ${RATE_HZ / 1000} kHz, ${BURSTS} bursts`, heads, rows);
}

function measure(loaded: boolean, ebN0Db: number): string[] {
  const random = new Random(ebN0Db);
  const { samples, starts, codes } = scene(ebN0Db, random);
  const options = { sampleRateHz: RATE_HZ, missions: loaded && MISSION ? [MISSION] : [] };
  const decoder = createLiveDecoder(options);
  const late: number[] = [];
  const told = new Set<number>();
  let right = 0;
  let acquiredSeconds = Number.POSITIVE_INFINITY;
  const began = process.cpuUsage();
  for (let at = 0; at < samples.length; at += BLOCK) {
    decoder.push(samples.subarray(at, at + BLOCK), (event) => {
      const nowSeconds = Math.min(samples.length, at + BLOCK) / RATE_HZ;
      if (event.type === 'acquired') acquiredSeconds = nowSeconds;
      if (event.type !== 'character') return;
      const i = starts.findIndex((start) => Math.abs(start - event.startSeconds) < 0.5 / BAUD);
      if (i < 0) return;
      told.add(i);
      if (codes[i] === event.code) right++;
      if (loaded || event.endSeconds > acquiredSeconds) late.push(nowSeconds - event.endSeconds);
    });
  }
  const { user, system } = process.cpuUsage(began);
  late.sort((a, b) => a - b);
  const part = (share: number) => (late[Math.min(late.length - 1, Math.floor(share * late.length))] ?? 0).toFixed(2);
  return [
    loaded ? 'loaded' : 'none',
    `${ebN0Db} dB`,
    String(starts.length),
    percent(told.size / starts.length),
    percent(right / Math.max(1, told.size)),
    part(0.5),
    part(0.95),
    part(1),
    (samples.length / RATE_HZ / ((user + system) / 1e6)).toFixed(0),
  ];
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

import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { digitDefinition } from './support/frames.ts';
import { type Cost, cheapest, measureNode, measureSox } from './support/process-cost.ts';
import { type Background, beaconStretch, STRETCH_SECONDS, writeRepeated } from './support/repeated-recording.ts';
import { CHANNEL } from './support/shapes.ts';
import { printTable } from './support/table.ts';

const ROOT = join(dirname(fileURLToPath(import.meta.url)), '..', '..');
const CLI = join(ROOT, 'dist', 'server', 'main.js');
/** Hours of the longest file, where memory shows; `FIVEUNIT_BENCH_HOURS=8` for a night. */
const HOURS = Number(process.env.FIVEUNIT_BENCH_HOURS ?? 2);
/** A busy machine only ever makes a run dearer: the cheapest of so many counts. */
const REPEATS = 5;
const LONG_REPEATS = 2;

/**
 * Whole processes, start-up and reading of the file included: `fiveunit decode` on 48 kHz, 16 bits, ten beacons in ten
 * minutes, between them noise or continuous speech; against an empty process and, where it is installed, sox resampling the
 * same file. Long files hold the same ten minutes over and over. CPU seconds of all threads, all that is compared in turn.
 */
export async function run(): Promise<void> {
  if (!(HOURS >= 1)) throw new Error(`FIVEUNIT_BENCH_HOURS must be 1 or more, not ${HOURS}`);
  const folder = mkdtempSync(join(tmpdir(), 'fiveunit-bench-'));
  try {
    const mission = join(folder, 'mission.json');
    writeFileSync(mission, JSON.stringify(digitDefinition('crc-16/ibm-3740', undefined, CHANNEL)));
    const empty = measureNode(folder, ['-e', '0']);
    const rows: string[][] = [['empty process', '', ...cells(empty, empty), '']];
    for (const background of ['noise', 'speech'] as const) {
      const stretch = beaconStretch(background);
      rows.push(...(await measure(folder, background, stretch, 1, REPEATS, mission, empty)));
      rows.push(
        ...(await measure(folder, background, stretch, (HOURS * 3600) / STRETCH_SECONDS, LONG_REPEATS, mission, empty)),
      );
    }
    const heads = ['what', 'real time', 'CPU s', 'wall s', 'peak MB', 'above empty', 'against sox'];
    printTable('Whole process, 48 kHz, ten beacons in ten minutes at 10 dB', heads, rows);
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

/** Rows of one file: without a mission, and with one to look for. */
async function measure(
  folder: string,
  background: Background,
  stretch: Uint8Array,
  times: number,
  repeats: number,
  mission: string,
  empty: Cost,
): Promise<string[][]> {
  const file = join(folder, 'recording.wav');
  await writeRepeated(file, stretch, times);
  const ways = { decode: [], 'decode --mission': ['--mission', mission] };
  const costs: Record<string, Cost[]> = {};
  const sox: number[] = [];
  for (let i = 0; i < repeats; i++) {
    sox.push(measureSox(file, join(folder, 'out.wav')) ?? Number.NaN);
    for (const [name, args] of Object.entries(ways)) {
      costs[name] ??= [];
      costs[name].push(measureNode(folder, [CLI, 'decode', file, '--format', 'ndjson', ...args]));
    }
  }
  const seconds = times * STRETCH_SECONDS;
  const length = seconds < 3600 ? `${seconds / 60} min` : `${seconds / 3600} h`;
  return Object.entries(costs).map(([name, all]) => {
    const cost = cheapest(all);
    const factor = cost.cpuSeconds / Math.min(...sox);
    return [
      `${length}, ${background}, ${name}`,
      `${(seconds / cost.cpuSeconds).toFixed(0)} x`,
      ...cells(cost, empty),
      Number.isNaN(factor) ? 'sox is not installed' : `${factor.toFixed(1)} x`,
    ];
  });
}

function cells(cost: Cost, empty: Cost): string[] {
  return [
    cost.cpuSeconds.toFixed(2),
    cost.wallSeconds.toFixed(2),
    cost.peakMegabytes.toFixed(0),
    (cost.peakMegabytes - empty.peakMegabytes).toFixed(0),
  ];
}

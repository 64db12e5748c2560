import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { open } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { Random } from '../../decoders/simulate/random.ts';
import { simulateRecording } from '../../decoders/simulate/recording.ts';
import { digitDefinition, digitMission, randomFrame } from './support/frames.ts';
import { printTable } from './support/table.ts';

const ROOT = join(dirname(fileURLToPath(import.meta.url)), '..', '..');
const CLI = join(ROOT, 'dist', 'server', 'main.js');
const REPEATS = 3;
const CHECKSUM = 'crc-16/ibm-3740';
/** All that the search for a known beacon wants to know. */
const BEACON = { baud: 45.45, markHz: 1275, spaceHz: 1445, stopElements: 1.5, intervalSeconds: 60 };

interface Cost {
  readonly cpuSeconds: number;
  readonly wallSeconds: number;
  readonly peakMegabytes: number;
}

/** Written into the measured process: tells its own cost when it ends. */
const METER = `
import { writeFileSync } from 'node:fs';
process.on('exit', () => {
  const { userCPUTime, systemCPUTime, maxRSS } = process.resourceUsage();
  writeFileSync(process.env.FIVEUNIT_METER, JSON.stringify({ cpu: (userCPUTime + systemCPUTime) / 1e6, rss: maxRSS / 1024 }));
});`;

/**
 * Whole processes, start-up and reading of the file included: `fiveunit decode` on white noise with a beacon a minute,
 * 48 kHz, 16 bits, against an empty process and, where it is installed, sox resampling the same file. CPU seconds of
 * all threads, the least of three runs.
 */
export async function run(): Promise<void> {
  const folder = mkdtempSync(join(tmpdir(), 'fiveunit-bench-'));
  try {
    const meter = join(folder, 'meter.mjs');
    writeFileSync(meter, METER);
    const mission = join(folder, 'mission.json');
    writeFileSync(mission, JSON.stringify(digitDefinition(CHECKSUM, undefined, BEACON)));
    const empty = measure(meter, folder, ['-e', '0']);
    const rows: string[][] = [['empty process', '', ...cells(empty, empty), '']];
    for (const minutes of [10, 60]) {
      const file = join(folder, `${minutes}.wav`);
      await writeNoise(file, minutes);
      const sox = soxSeconds(file, join(folder, 'out.wav'));
      for (const [name, args] of [
        ['decode', []],
        ['decode --mission', ['--mission', mission]],
      ] as const) {
        const cost = measure(meter, folder, [CLI, 'decode', file, '--format', 'ndjson', ...args]);
        const factor = sox === null ? '' : `${(cost.cpuSeconds / sox).toFixed(1)} x sox`;
        rows.push([
          `${minutes} min, ${name}`,
          `${((minutes * 60) / cost.cpuSeconds).toFixed(0)} x`,
          ...cells(cost, empty),
          factor,
        ]);
      }
    }
    const title = 'Whole process, 48 kHz noise with a beacon a minute (8 dB and more)';
    printTable(title, ['what', 'real time', 'CPU s', 'wall s', 'peak MB', 'above empty', 'against sox'], rows);
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

function cells(cost: Cost, empty: Cost): string[] {
  return [
    cost.cpuSeconds.toFixed(2),
    cost.wallSeconds.toFixed(2),
    cost.peakMegabytes.toFixed(0),
    (cost.peakMegabytes - empty.peakMegabytes).toFixed(0),
  ];
}

async function writeNoise(file: string, minutes: number): Promise<void> {
  const random = new Random(minutes);
  const mission = digitMission(CHECKSUM);
  const { wav } = simulateRecording({
    texts: Array.from({ length: minutes }, () => randomFrame(mission, random)),
    keying: { alphabet: 'ita2', baud: 500 / 11, markHz: 1275.3, spaceHz: 1445.3, stopElements: 1.5 },
    faults: { ebN0Db: 10 },
    sampleRateHz: 48_000,
    marginSeconds: 23,
    seed: minutes,
  });
  const out = await open(file, 'w');
  for (const piece of wav()) await out.write(piece);
  await out.close();
}

function measure(meter: string, folder: string, args: readonly string[]): Cost {
  let best: Cost | null = null;
  const told = join(folder, 'cost.json');
  for (let i = 0; i < REPEATS; i++) {
    const start = performance.now();
    const { status, stderr } = spawnSync(process.execPath, ['--import', `file://${meter}`, ...args], {
      env: { ...process.env, FIVEUNIT_METER: told },
      stdio: ['ignore', 'ignore', 'pipe'],
      maxBuffer: 1 << 26,
    });
    if (status !== 0) throw new Error(`${args.join(' ')} ended with ${status}: ${stderr}`);
    const wallSeconds = (performance.now() - start) / 1000;
    const { cpu, rss } = JSON.parse(readFileSync(told, 'utf8'));
    if (!best || cpu < best.cpuSeconds) best = { cpuSeconds: cpu, wallSeconds, peakMegabytes: rss };
  }
  if (!best) throw new Error('nothing measured');
  return best;
}

/** sox runs on one thread: its wall time stands for its CPU time on a quiet machine. */
function soxSeconds(file: string, out: string): number | null {
  if (spawnSync('sox', ['--version']).status !== 0) return null;
  let best = Number.POSITIVE_INFINITY;
  for (let i = 0; i < REPEATS; i++) {
    const start = performance.now();
    spawnSync('sox', [file, '-r', '8000', out]);
    best = Math.min(best, (performance.now() - start) / 1000);
  }
  return best;
}

import { spawn, spawnSync } from 'node:child_process';
import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { Readable } from 'node:stream';
import { pipeline } from 'node:stream/promises';

/** What a whole process took. */
export interface Cost {
  /** Of all its threads. */
  readonly cpuSeconds: number;
  readonly wallSeconds: number;
  readonly peakMegabytes: number;
}

/**
 * Loaded into the measured process: tells its own cost when it ends. Linux counts what the parent held when it started the
 * child into the child's largest size, but not into the high-water mark of its own memory.
 */
const METER = `
const { readFileSync, writeFileSync } = require('node:fs');
process.on('exit', () => {
  const { userCPUTime, systemCPUTime, maxRSS } = process.resourceUsage();
  let kilobytes = maxRSS;
  if (process.platform === 'linux') kilobytes = Number(/VmHWM:\\s*(\\d+)/.exec(readFileSync('/proc/self/status', 'utf8'))[1]);
  writeFileSync(process.env.FIVEUNIT_METER, JSON.stringify({ cpu: (userCPUTime + systemCPUTime) / 1e6, kilobytes }));
});`;

/**
 * Runs Node once.
 *
 * @param folder takes what the measuring needs.
 */
export function measureNode(folder: string, args: readonly string[]): Cost {
  const meter = meterIn(folder);
  const start = performance.now();
  const { status, stderr } = spawnSync(process.execPath, [...meter.args, ...args], {
    env: { ...process.env, ...meter.env },
    stdio: ['ignore', 'ignore', 'pipe'],
    maxBuffer: 1 << 26,
  });
  if (status !== 0) throw new Error(`${args.join(' ')} ended with ${status}: ${stderr}`);
  return meter.costSince(start);
}

/**
 * The same, fed on its standard input as fast as it takes it.
 *
 * @param expected code that it ends with.
 */
export async function measureFedNode(
  folder: string,
  args: readonly string[],
  input: Iterable<Uint8Array>,
  expected = 0,
): Promise<Cost> {
  const meter = meterIn(folder);
  const start = performance.now();
  const child = spawn(process.execPath, [...meter.args, ...args], {
    env: { ...process.env, ...meter.env },
    stdio: ['pipe', 'ignore', 'pipe'],
  });
  let said = '';
  child.stderr.on('data', (bytes) => {
    said = (said + bytes).slice(-2000);
  });
  const ended = new Promise<number | null>((resolve) => child.on('close', resolve));
  await pipeline(Readable.from(input), child.stdin);
  const status = await ended;
  if (status !== expected) throw new Error(`${args.join(' ')} ended with ${status}: ${said}`);
  return meter.costSince(start);
}

function meterIn(folder: string) {
  const meter = join(folder, 'meter.cjs');
  const told = join(folder, 'cost.json');
  writeFileSync(meter, METER);
  return {
    args: ['--require', meter],
    env: { FIVEUNIT_METER: told },
    costSince(start: number): Cost {
      const wallSeconds = (performance.now() - start) / 1000;
      const { cpu, kilobytes } = JSON.parse(readFileSync(told, 'utf8'));
      return { cpuSeconds: cpu, wallSeconds, peakMegabytes: kilobytes / 1024 };
    },
  };
}

/** The least CPU time of several runs, and the most memory. */
export function cheapest(costs: readonly Cost[]): Cost {
  const [first] = costs.toSorted((a, b) => a.cpuSeconds - b.cpuSeconds);
  return { ...first, peakMegabytes: Math.max(...costs.map(({ peakMegabytes }) => peakMegabytes)) };
}

/** CPU seconds that sox takes to bring a file to 8 kHz; null where it, or bash, is not installed. */
export function measureSox(file: string, out: string): number | null {
  // The shell's own `time` tells milliseconds, user and system; other shells count in hundredths and cut off.
  const script = 'TIMEFORMAT="%3U %3S"; time sox "$1" -r 8000 "$2"';
  const env = { ...process.env, LC_ALL: 'C' };
  const { status, stderr } = spawnSync('bash', ['-c', script, 'bash', file, out], { encoding: 'utf8', env });
  if (status !== 0) return null;
  const [user, system] = (stderr.trim().split('\n').at(-1) ?? '').split(' ').map(Number);
  return user + system;
}

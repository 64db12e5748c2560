import { spawnSync } from 'node:child_process';
import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';

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
  const meter = join(folder, 'meter.cjs');
  const told = join(folder, 'cost.json');
  writeFileSync(meter, METER);
  const start = performance.now();
  const { status, stderr } = spawnSync(process.execPath, ['--require', meter, ...args], {
    env: { ...process.env, FIVEUNIT_METER: told },
    stdio: ['ignore', 'ignore', 'pipe'],
    maxBuffer: 1 << 26,
  });
  if (status !== 0) throw new Error(`${args.join(' ')} ended with ${status}: ${stderr}`);
  const wallSeconds = (performance.now() - start) / 1000;
  const { cpu, kilobytes } = JSON.parse(readFileSync(told, 'utf8'));
  return { cpuSeconds: cpu, wallSeconds, peakMegabytes: kilobytes / 1024 };
}

/** The least CPU time of several runs, and the most memory. */
export function cheapest(costs: readonly Cost[]): Cost {
  const [first] = costs.toSorted((a, b) => a.cpuSeconds - b.cpuSeconds);
  return { ...first, peakMegabytes: Math.max(...costs.map(({ peakMegabytes }) => peakMegabytes)) };
}

/** CPU seconds that sox takes to bring a file to 8 kHz; null where it is not installed. */
export function measureSox(file: string, out: string): number | null {
  // The shell tells what its children took: minutes and seconds, user and system, on the second line.
  const { status, stdout } = spawnSync('sh', ['-c', 'sox "$1" -r 8000 "$2" && times', 'sh', file, out], {
    encoding: 'utf8',
  });
  if (status !== 0) return null;
  const times = [...(stdout.split('\n')[1] ?? '').matchAll(/(\d+)m([\d.]+)s/g)];
  return times.reduce((sum, [, minutes, seconds]) => sum + 60 * Number(minutes) + Number(seconds), 0);
}

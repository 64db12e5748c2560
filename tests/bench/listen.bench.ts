import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { digitDefinition } from './support/frames.ts';
import { type Cost, measureFedNode, measureNode } from './support/process-cost.ts';
import { beaconStretch, STRETCH_SECONDS } from './support/repeated-recording.ts';
import { CHANNEL } from './support/shapes.ts';
import { printTable } from './support/table.ts';

const ROOT = join(dirname(fileURLToPath(import.meta.url)), '..', '..');
const CLI = join(ROOT, 'dist', 'server', 'main.js');
/** Hours of the longer run, where memory shows; `FIVEUNIT_BENCH_HOURS=8` for a night. */
const HOURS = Number(process.env.FIVEUNIT_BENCH_HOURS ?? 1);
/** As a pipe from a sound card's program brings them. */
const PIECE_BYTES = 1 << 15;
/** Nobody answers there (the discard port, RFC 863). */
const AWAY = ['--to', 'http://127.0.0.1:9', '--station', 'Q1LARK', '--phase', 'bench'];
/** Bursts wait for their server. */
const INCOMPLETE = 1;

/**
 * Whole processes: `fiveunit listen` with a mission loaded, 48 kHz and 16 bits on standard input, noise with a beacon a minute,
 * fed faster than they would be heard; alone, and with a server that is away, whose bursts are kept in a folder.
 */
export async function run(): Promise<void> {
  const folder = mkdtempSync(join(tmpdir(), 'fiveunit-listen-'));
  try {
    const mission = join(folder, 'mission.json');
    writeFileSync(mission, JSON.stringify(digitDefinition('crc-16/ibm-3740', undefined, CHANNEL)));
    const empty = measureNode(folder, ['-e', '0']);
    const stretch = beaconStretch('noise');
    const rows: string[][] = [];
    for (const [what, more, code] of [
      ['no server', [], 0],
      ['server away', [...AWAY, '--spool', join(folder, 'spool')], INCOMPLETE],
    ] as const) {
      for (const hours of [STRETCH_SECONDS / 3600, HOURS]) {
        const args = [CLI, 'listen', '--mission', mission, ...more];
        const cost = await measureFedNode(folder, args, repeated(stretch, hours), code);
        rows.push([what, ...cells(cost, empty, hours)]);
      }
    }
    printTable('Listening to standard input', ['', 'hours', 'x real time', 'peak MB', 'above empty'], rows);
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

function* repeated(stretch: Uint8Array, hours: number): Generator<Uint8Array> {
  const times = Math.round((3600 * hours) / STRETCH_SECONDS);
  for (let n = 0; n < times; n++) {
    for (let at = 0; at < stretch.length; at += PIECE_BYTES) yield stretch.subarray(at, at + PIECE_BYTES);
  }
}

function cells({ cpuSeconds, peakMegabytes }: Cost, empty: Cost, hours: number): string[] {
  return [
    hours.toFixed(2),
    ((3600 * hours) / cpuSeconds).toFixed(0),
    peakMegabytes.toFixed(0),
    (peakMegabytes - empty.peakMegabytes).toFixed(0),
  ];
}

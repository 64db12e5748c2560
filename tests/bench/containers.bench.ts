import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { basename, dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { RecordingReader } from '../../decoders/audio/open.ts';
import { PREPARE_BYTES, prepareAudio } from '../../decoders/audio/prepare.ts';
import { measureNode } from './support/process-cost.ts';
import { printTable } from './support/table.ts';

const ROOT = join(dirname(fileURLToPath(import.meta.url)), '..', '..');
const WAV = join(ROOT, 'samples', 'dunlin-three.wav');
/** The same sound in all files. */
const ENCODED = ['ogg', 'opus', 'mp3'].map((ending) =>
  join(ROOT, 'tests', 'reference', 'audio', `dunlin-three.${ending}`),
);
/** What sox writes of it where it is installed. */
const LOSSLESS = ['flac', 'aiff'];
/** A recording is read so often, once more before it is timed; the fastest counts. */
const REPEATS = 7;
const PIECE_BYTES = 1 << 16;
const READ_LONG = join(ROOT, 'tests', 'bench', 'support', 'read-long.mjs');
/** Hours of the recordings whose reading shows its memory; they are made as they are read. */
const HOURS = Number(process.env.FIVEUNIT_BENCH_HOURS ?? 2);

/** How fast containers are read, without looking for bursts, and what memory long ones take. */
export async function run(): Promise<void> {
  const folder = mkdtempSync(join(tmpdir(), 'fiveunit-containers-'));
  try {
    const lossless = LOSSLESS.map((ending) => join(folder, `dunlin-three.${ending}`));
    const written = lossless.filter((file) => spawnSync('sox', [WAV, file]).status === 0);
    const files = [WAV, ...written, ...ENCODED];
    await speed(files.map((file) => ({ file: basename(file), bytes: readFileSync(file) })));
    memory(folder, files);
  } finally {
    rmSync(folder, { recursive: true });
  }
}

/** Whole processes that read hours of each container, against an empty one. */
function memory(folder: string, files: readonly string[]): void {
  const empty = measureNode(folder, ['-e', '0']).peakMegabytes;
  const rows = files.map((file) => {
    const { cpuSeconds, peakMegabytes } = measureNode(folder, [READ_LONG, file, String(HOURS)]);
    return [basename(file), cpuSeconds.toFixed(1), peakMegabytes.toFixed(0), (peakMegabytes - empty).toFixed(0)];
  });
  printTable(`Memory of reading ${HOURS} h`, ['file', 'CPU s', 'peak MB', 'above empty'], rows);
}

/** Warm, one thread, pieces of 64 KiB. */
async function speed(files: readonly { readonly file: string; readonly bytes: Uint8Array }[]): Promise<void> {
  const rows: {
    readonly file: string;
    readonly seconds: number;
    readonly milliseconds: number;
    readonly rate: string;
  }[] = [];
  for (const { file, bytes } of files) {
    let best = Number.POSITIVE_INFINITY;
    let seconds = 0;
    let rate = '';
    for (let i = 0; i <= REPEATS; i++) {
      const codecs = await prepareAudio(bytes.subarray(0, PREPARE_BYTES));
      const start = performance.now();
      const reader = new RecordingReader({ codecs });
      let frames = 0;
      const count = (block: { readonly frames: number }) => {
        frames += block.frames;
      };
      for (let at = 0; at < bytes.length; at += PIECE_BYTES) reader.push(bytes.subarray(at, at + PIECE_BYTES), count);
      reader.end(count);
      if (i > 0) best = Math.min(best, performance.now() - start);
      const sampleRateHz = reader.info?.sampleRateHz ?? Number.NaN;
      seconds = frames / sampleRateHz;
      rate = `${sampleRateHz} Hz, ${reader.info?.encoding}`;
    }
    rows.push({ file, seconds, milliseconds: best, rate });
  }
  const [wav] = rows;
  printTable(
    `Containers, ${wav.seconds.toFixed(0)} s of sound`,
    ['file', 'as', 'x real time', 'cost against WAV'],
    rows.map(({ file, seconds, milliseconds, rate }) => [
      file,
      rate,
      ((1000 * seconds) / milliseconds).toFixed(0),
      (milliseconds / wav.milliseconds).toFixed(0),
    ]),
  );
}

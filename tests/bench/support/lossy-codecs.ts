import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { RecordingReader } from '../../../decoders/audio/open.ts';
import { PREPARE_BYTES, prepareAudio } from '../../../decoders/audio/prepare.ts';
import { encodeWav } from '../../../decoders/audio/wav-write.ts';
import { RATE_HZ } from './signal.ts';

/** A lossy codec as people use it; encoded by a general-purpose tool, decoded by the project's own readers. */
export interface LossyCodec {
  readonly name: string;
  readonly tool: string;
  readonly args: (from: string, to: string) => readonly string[];
}

const CODECS: readonly LossyCodec[] = [
  { name: 'MP3 96 kbit/s', tool: 'lame', args: (from, to) => ['--quiet', '--resample', '44.1', '-b', '96', from, to] },
  { name: 'Opus 32 kbit/s', tool: 'opusenc', args: (from, to) => ['--quiet', '--bitrate', '32', from, to] },
  { name: 'Opus 16 kbit/s', tool: 'opusenc', args: (from, to) => ['--quiet', '--bitrate', '16', from, to] },
  { name: 'Vorbis quality 4', tool: 'oggenc', args: (from, to) => ['-Q', '-q', '4', '-o', to, from] },
];

/** The codecs whose encoders are installed. */
export function installedCodecs(): readonly LossyCodec[] {
  return CODECS.filter(({ tool }) => spawnSync(tool, ['--version']).error === undefined);
}

/** One channel of sound at `RATE_HZ` as it comes out of a codec, whose rate may be another. */
export async function throughCodec(
  samples: Float32Array,
  { tool, args }: LossyCodec,
): Promise<{ readonly samples: Float32Array; readonly sampleRateHz: number }> {
  const folder = mkdtempSync(join(tmpdir(), 'fiveunit-codec-'));
  try {
    const [from, to] = ['from.wav', 'to'].map((name) => join(folder, name));
    const peak = samples.reduce((most, each) => Math.max(most, Math.abs(each)), 1e-9);
    const unclipped = samples.map((each) => (0.9 * each) / peak);
    writeFileSync(from, encodeWav(unclipped, { sampleRateHz: RATE_HZ, format: 'pcm16' }));
    const { status, stderr } = spawnSync(tool, args(from, to));
    if (status !== 0) throw new Error(`${tool}: ${stderr}`);
    return await decode(readFileSync(to));
  } finally {
    rmSync(folder, { recursive: true });
  }
}

async function decode(bytes: Uint8Array): Promise<{ readonly samples: Float32Array; readonly sampleRateHz: number }> {
  const reader = new RecordingReader({ codecs: await prepareAudio(bytes.subarray(0, PREPARE_BYTES)) });
  const pieces: Float32Array[] = [];
  reader.push(bytes, ({ channels, frames }) => pieces.push(channels[0].slice(0, frames)));
  reader.end(({ channels, frames }) => pieces.push(channels[0].slice(0, frames)));
  const samples = new Float32Array(pieces.reduce((sum, piece) => sum + piece.length, 0));
  let at = 0;
  for (const piece of pieces) {
    samples.set(piece, at);
    at += piece.length;
  }
  return { samples, sampleRateHz: reader.info?.sampleRateHz ?? RATE_HZ };
}

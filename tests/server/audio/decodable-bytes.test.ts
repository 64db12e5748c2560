import { spawnSync } from 'node:child_process';
import { chmod, readFile, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { decodableBytes } from '../../../server/audio/decodable-bytes.ts';
import {
  FRAMES_OF_DUNLIN_THREE,
  fitTone,
  framesOf,
  readRecording,
  referenceAudio,
} from '../../decoders/support/lossy.ts';
import { temporaryDirectory } from '../support/directory.ts';

const tone = referenceAudio('tone.m4a');

async function read(file: Uint8Array, path: string | null, program?: string) {
  let handed = 0;
  async function* pieces() {
    for (let at = 0; at < file.length; at += 1000) {
      const piece = file.subarray(at, at + 1000);
      handed += piece.length;
      yield piece;
    }
  }
  const source = { first: file.subarray(0, 100), pieces: pieces(), path };
  const out: Uint8Array[] = [];
  for await (const piece of decodableBytes(source, program === undefined ? {} : { program })) out.push(piece.slice());
  return { output: new Uint8Array(Buffer.concat(out)), handed };
}

async function inFolder(name: string, content: Uint8Array | string): Promise<string> {
  const path = join(await temporaryDirectory(), name);
  await writeFile(path, content);
  await chmod(path, 0o755);
  return path;
}

it('passes on what is read here', async () => {
  const opus = referenceAudio('tone.opus');
  expect((await read(opus, null)).output).toEqual(opus);
});

it.skipIf(process.platform === 'win32')(
  'hands a phone recording over, in an order for pipes where it can',
  async () => {
    const program = await inFolder('ffmpeg', '#!/bin/sh\nexec cat\n');
    const path = await inFolder('tone.m4a', tone);
    expect((await read(tone, null, program)).output).toEqual(tone);
    const { output, handed } = await read(tone, path, program);
    expect(output).toHaveLength(tone.length);
    expect(Buffer.from(output).indexOf('moov')).toBeLessThan(Buffer.from(output).indexOf('mdat'));
    // Whoever counts or hashes the bytes sees them all, too.
    expect(handed).toBe(tone.length);
  },
);

const program = process.env.FIVEUNIT_FFMPEG ?? 'ffmpeg';
const hasFfmpeg = spawnSync(program, ['-version']).status === 0;
if (!hasFfmpeg) console.warn('SKIPPED: ffmpeg is not installed; no phone recording was read by the real one.');

it.skipIf(!hasFfmpeg)('is read by the ffmpeg that is installed', async () => {
  const path = await inFolder('tone.m4a', tone);
  const { channels, info } = await readRecording((await read(tone, path, program)).output);
  expect(info).toMatchObject({ sampleRateHz: 8000, channels: 1 });
  expect(fitTone(channels[0], 8000, 997, 0.5, 5.5).amplitude).toBeCloseTo(0.5, 1);
});

const AMR = ['-ar', '8000', '-c:a', 'libopencore_amrnb', '-b:a', '12.2k'];
const AMR_WB = ['-ar', '16000', '-c:a', 'libvo_amrwbenc'];

/** What an ffmpeg 4.1 with all of these encoders wrote was read by it in every case. */
it.skipIf(!hasFfmpeg).each<[string, readonly string[]]>([
  ['M4A of AAC', ['a.m4a', '-c:a', 'aac']],
  ['M4A of ALAC', ['a.m4a', '-c:a', 'alac']],
  ['3GP of AMR', ['a.3gp', ...AMR]],
  ['3GP of AMR-WB', ['a.3gp', ...AMR_WB]],
  ['AMR', ['a.amr', ...AMR]],
  ['AMR-WB', ['a.amr', ...AMR_WB]],
  ['AAC in ADTS', ['a.aac', '-c:a', 'aac']],
  ['Core Audio', ['a.caf', '-c:a', 'pcm_s16be']],
  ['QuickTime', ['a.mov', '-c:a', 'pcm_s16le']],
  ['AVI', ['a.avi', '-c:a', 'libmp3lame']],
  ['WebM', ['a.webm', '-ar', '48000', '-c:a', 'libopus']],
  ['Matroska', ['a.mkv', '-c:a', 'libvorbis']],
  ['Windows Media', ['a.wma', '-c:a', 'wmav2']],
  ['layer II', ['a.mp2', '-ar', '16000', '-c:a', 'mp2']],
  ['FLAC in Ogg', ['a.oga', '-c:a', 'flac']],
])('%s gives the frames of the original', async (_, [name, ...encoding]) => {
  const path = join(await temporaryDirectory(), name);
  const original = join(import.meta.dirname, '../../../samples/dunlin-three.wav');
  const quiet = ['-nostdin', '-loglevel', 'error'];
  const { status, stderr } = spawnSync(program, [...quiet, '-i', original, '-ac', '1', ...encoding, path]);
  // Not every ffmpeg has every encoder.
  if (status !== 0 && /unknown encoder/i.test(String(stderr))) return console.warn(`SKIPPED: ${stderr}`);
  expect([status, String(stderr)]).toEqual([0, '']);
  expect(await framesOf((await read(await readFile(path), path, program)).output)).toEqual(FRAMES_OF_DUNLIN_THREE);
});

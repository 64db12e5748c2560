import { spawnSync } from 'node:child_process';
import { chmod, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { decodableBytes } from '../../../server/audio/decodable-bytes.ts';
import { fitTone, readRecording, referenceAudio } from '../../decoders/support/lossy.ts';
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

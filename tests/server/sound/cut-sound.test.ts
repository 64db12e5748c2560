import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { encodeWav, type WavOptions } from '../../../decoders/audio/wav-write.ts';
import { cutSound } from '../../../server/sound/cut-sound.ts';
import type { CutTask } from '../../../server/sound/cutter.ts';
import { writeListeningCopy } from '../../../server/sound/listening-copy.ts';
import { bytes, readAll, u32 } from '../../decoders/audio/wav-file.ts';
import { fitTone, referenceAudio } from '../../decoders/support/lossy.ts';
import { temporaryDirectory } from '../support/directory.ts';

const SECONDS = 4;
/** A tone whose pitch tells the second: 500 Hz in the first, 700 Hz in the second and so on. */
const hzAt = (seconds: number): number => 500 + 200 * Math.floor(seconds);

function tones(sampleRateHz: number): Float32Array {
  let phase = 0;
  return Float32Array.from({ length: SECONDS * sampleRateHz }, (_, i) => {
    const sample = 0.5 * Math.sin(phase);
    phase += (2 * Math.PI * hzAt(i / sampleRateHz)) / sampleRateHz;
    return sample;
  });
}

async function cut(file: Uint8Array, change: Partial<CutTask>) {
  const directory = await temporaryDirectory();
  const task: CutTask = {
    path: join(directory, 'recording'),
    copyPath: join(directory, 'copy.wav'),
    copyBytesMax: 1e9,
    channel: 0,
    carrier: null,
    stretch: { startSeconds: 0, endSeconds: 1 },
    silences: [],
    pieces: null,
    ...change,
  };
  writeFileSync(task.path, file);
  return { task, outcome: await cutSound(task) };
}

async function samplesOf(file: Uint8Array, change: Partial<CutTask>): Promise<number[]> {
  const { outcome } = await cut(file, change);
  if (!outcome.readable) throw new Error(outcome.failure.message);
  const { info, channels } = readAll(outcome.wav);
  expect(info).toMatchObject({ sampleRateHz: 8000, channels: 1, encoding: 'wav pcm 16' });
  return channels[0] ?? [];
}

/** Pitch by counting where the wave rises through zero. */
function pitchHz(samples: readonly number[]): number {
  let rises = 0;
  for (let i = 1; i < samples.length; i++) if (samples[i - 1] < 0 && samples[i] >= 0) rises++;
  return (rises * 8000) / samples.length;
}

describe('a stretch', () => {
  test.each([8000, 11_025, 22_050, 44_100, 48_000, 96_000])('of a file of %i Hz is what it was there', async (rate) => {
    const wave = tones(rate);
    const wav = encodeWav([new Float32Array(wave.length), wave], { sampleRateHz: rate, format: 'pcm16' });
    const samples = await samplesOf(wav, { channel: 1, stretch: { startSeconds: 1.25, endSeconds: 1.75 } });
    expect(samples).toHaveLength(4000);
    // 700 Hz through the second second, which began with whole waves
    const worst = Math.max(
      ...samples.map((sample, i) => Math.abs(sample - 0.5 * Math.sin(2 * Math.PI * 700 * (0.25 + i / 8000)))),
    );
    expect(worst).toBeLessThan(0.06);
  });

  test('ends with the recording, and with what of it is there', async () => {
    const wav = encodeWav(tones(8000), { sampleRateHz: 8000, format: 'pcm16' });
    expect(await samplesOf(wav, { stretch: { startSeconds: 3.5, endSeconds: 9 } })).toHaveLength(4000);
    const cutShort = wav.subarray(0, 44 + 2 * 30_000);
    expect(await samplesOf(cutShort, { stretch: { startSeconds: 3.5, endSeconds: 9 } })).toHaveLength(2000);
    expect(await samplesOf(wav, { stretch: { startSeconds: 60, endSeconds: 61 } })).toEqual([]);
  });

  test('says nothing of what the file says of itself', async () => {
    const said: WavOptions = {
      sampleRateHz: 8000,
      format: 'pcm16',
      comment: 'kitchen of the lighthouse',
      startedAt: '2031-05-04T09:00:00Z',
    };
    const { outcome } = await cut(encodeWav(tones(8000), said), {});
    expect(outcome.readable && outcome.wav.length).toBe(44 + 2 * 8000);
    expect(outcome.readable && Buffer.from(outcome.wav.subarray(0, 44)).toString('latin1')).toMatch(
      /^RIFF.{4}WAVEfmt /s,
    );
  });

  test('is silent where it is told to be', async () => {
    const wav = encodeWav(tones(8000), { sampleRateHz: 8000, format: 'pcm16' });
    const samples = await samplesOf(wav, {
      stretch: { startSeconds: 1, endSeconds: 2 },
      silences: [{ startSeconds: 1.25, endSeconds: 1.5 }],
    });
    expect(samples.slice(2000, 4000).every((sample) => sample === 0)).toBe(true);
    expect(samples.slice(4000).some((sample) => Math.abs(sample) > 0.4)).toBe(true);
  });

  test('is not read from the rest of the file', async () => {
    const wav = encodeWav(tones(8000), { sampleRateHz: 8000, format: 'pcm16' });
    // What was noise far from the stretch makes no difference to it.
    const other = wav.slice().fill(0x55, 44 + 2 * 20_000);
    const stretch = { startSeconds: 0.5, endSeconds: 1 };
    expect(await samplesOf(other, { stretch })).toEqual(await samplesOf(wav, { stretch }));
    const { task } = await cut(wav, { stretch });
    expect(existsSync(task.copyPath)).toBe(false);
  });

  test('is found behind a long header, too', async () => {
    const wav = encodeWav(tones(8000), { sampleRateHz: 8000, format: 'pcm16' });
    const junk = bytes('JUNK', u32(100_000), new Uint8Array(100_000));
    const long = bytes(wav.subarray(0, 12), junk, wav.subarray(12));
    const stretch = { startSeconds: 2, endSeconds: 2.5 };
    expect(await samplesOf(long, { stretch })).toEqual(await samplesOf(wav, { stretch }));
  });
});

describe('pieces', () => {
  test('come from the middles of equal parts', async () => {
    const wav = encodeWav(tones(48_000), { sampleRateHz: 48_000, format: 'pcm16' });
    const samples = await samplesOf(wav, { stretch: { startSeconds: 0, endSeconds: 4 }, pieces: 4 });
    expect(samples).toHaveLength(4 * 512);
    for (let i = 0; i < 4; i++) {
      expect(Math.abs(pitchHz(samples.slice(i * 512, (i + 1) * 512)) - hzAt(i + 0.5))).toBeLessThan(20);
    }
  });

  test('keep their places beyond the end', async () => {
    const wav = encodeWav(tones(8000), { sampleRateHz: 8000, format: 'pcm16' });
    const samples = await samplesOf(wav, { stretch: { startSeconds: 2, endSeconds: 6 }, pieces: 4 });
    expect(Math.abs(pitchHz(samples.slice(512, 1024)) - hzAt(3.5))).toBeLessThan(20);
    expect(samples.slice(1024).every((sample) => sample === 0)).toBe(true);
  });
});

describe('a recording that cannot be read', () => {
  test('is a result', async () => {
    const { outcome } = await cut(bytes('%PDF-1.7 and so on'), {});
    expect(outcome).toMatchObject({ readable: false, failure: { code: 'not-a-recording' } });
  });
});

describe('a copy to listen to', () => {
  test.each(['tone.mp3', 'tone.ogg', 'tone.opus', 'lossless/mono16-8.flac'])(
    'is made of %s, once, and cut like any other',
    async (name) => {
      const file = readFileSync(new URL(`../../reference/audio/${name}`, import.meta.url));
      const { task, outcome } = await cut(file, { stretch: { startSeconds: 0.1, endSeconds: 0.3 } });
      expect(outcome).toMatchObject({ readable: true, copied: true });
      const again = await cutSound(task);
      expect(again).toMatchObject({ readable: true, copied: false });
      expect(outcome.readable && again.readable && Buffer.from(again.wav).equals(outcome.wav)).toBe(true);
      const { channels } = readAll(outcome.readable ? outcome.wav : new Uint8Array());
      expect(channels[0]).toHaveLength(1600);
      expect(Math.max(...channels[0])).toBeGreaterThan(0.01);
    },
  );

  test('sounds like the recording, and is read in its place', async () => {
    const wav = encodeWav(tones(48_000), { sampleRateHz: 48_000, format: 'pcm16', comment: 'kitchen' });
    const stretch = { startSeconds: 1.25, endSeconds: 1.75 };
    const direct = await samplesOf(wav, { stretch });
    const { task } = await cut(wav, { stretch });
    await writeListeningCopy(task);
    expect(readFileSync(task.copyPath).length).toBe(44 + 2 * SECONDS * 8000);
    expect(existsSync(`${task.copyPath}.part`)).toBe(false);
    writeFileSync(task.path, 'gone');
    const outcome = await cutSound(task);
    const copied = outcome.readable ? readAll(outcome.wav).channels[0] : [];
    expect(copied).toHaveLength(direct.length);
    expect(Math.max(...copied.map((sample, i) => Math.abs(sample - direct[i])))).toBeLessThan(0.01);
  });

  test('is made of a packed recording, whose decoder is loaded for it', async () => {
    const stretch = { startSeconds: 3, endSeconds: 4 };
    const opus = await samplesOf(referenceAudio('tone.opus'), { stretch });
    expect(opus).toHaveLength(8000);
    expect(fitTone(Float32Array.from(opus), 8000, 997, 0.1, 0.9).amplitude).toBeCloseTo(0.5, 1);
  });

  test('leaves nothing behind where there is no room', async () => {
    const wav = encodeWav(tones(48_000), { sampleRateHz: 48_000, format: 'pcm16' });
    const { task } = await cut(wav, { copyBytesMax: 20_000 });
    await expect(writeListeningCopy(task)).rejects.toThrow(expect.objectContaining({ code: 'no-room' }));
    expect([existsSync(task.copyPath), existsSync(`${task.copyPath}.part`)]).toEqual([false, false]);
  });
});

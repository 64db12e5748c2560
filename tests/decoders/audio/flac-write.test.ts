import { spawnSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { BLOCK_SIZE } from '../../../decoders/audio/flac/frame-writer.ts';
import { FlacReader } from '../../../decoders/audio/flac.ts';
import { encodeFlac, FlacWriter } from '../../../decoders/audio/flac-write.ts';
import { saySimulated } from '../../../decoders/audio/vorbis-comment.ts';
import { Random } from '../../../decoders/simulate/random.ts';
import { decodeBytes } from '../support/wav.ts';
import { checkFile } from './flac/check-files.ts';
import { readAll } from './wav-file.ts';

const read = (file: Uint8Array) => readAll(file, [10_000], new FlacReader());
const hasSox = spawnSync('sox', ['--version']).status === 0;
if (!hasSox) console.warn('SKIPPED: sox is not installed; FLAC files of ours were not read by another program.');

const grid = (x: number): number => Math.max(-32768, Math.min(32767, Math.round(x))) / 32768 + 0;

/** A tone in noise, with a pause, on the 16-bit grid. */
function sound(length: number, seed: number): Float32Array {
  const random = new Random(seed);
  return Float32Array.from({ length }, (_, n) =>
    n % 9000 < 1500 ? 0 : grid(9000 * Math.sin(n / 3) + 300 * random.gaussian()),
  );
}

/** Extremes in turn: fixed predictors only make it larger. */
const harsh = (length: number): Float32Array =>
  Float32Array.from({ length }, (_, n) => (((n * 2654435761) >>> 9) % 65536) / 32768 - 1);

/** Differences of both signs, even and odd. */
const nearlyAlike = [sound(10_000, 2), sound(10_000, 2).map((x) => grid(29_111 * x))];

describe('encodeFlac', () => {
  it.each([
    ['mono', [sound(20_000, 1)]],
    ['alike channels', [sound(10_000, 2), sound(10_000, 2)]],
    ['nearly alike channels (mean and difference)', nearlyAlike],
    ['apart channels', [sound(10_000, 3), harsh(10_000)]],
    ['noise that cannot be made smaller', [harsh(9000)]],
    ['silence', [new Float32Array(5000)]],
    ['one value', [new Float32Array(5000).fill(-0.25)]],
    ['opposite extremes', [Float32Array.of(1, -1, 1, -1, 1), Float32Array.of(-1, 1, -1, 1, -1)]],
    ['whole blocks', [sound(2 * BLOCK_SIZE, 4)]],
    ['one sample', [Float32Array.of(0.5)]],
  ])('%s comes back exactly', (_, channels) => {
    const result = read(encodeFlac(channels, { sampleRateHz: 8000 }));
    expect(result.info).toMatchObject({
      channels: channels.length,
      encoding: 'flac 16',
      statedFrames: channels[0].length,
    });
    expect(result.channels).toEqual(channels.map((samples) => [...samples].map((x) => grid(32768 * x))));
    expect(result.problems.filter(({ code }) => code !== 'silent' && code !== 'clipped')).toEqual([]);
  });

  it('states the MD5 of its samples as another program does, for one channel and two', () => {
    const md5 = (file: Uint8Array): string => Buffer.from(file.subarray(26, 42)).toString('hex');
    // Written by libFLAC, by way of sox.
    const reference = readFileSync(new URL('../../reference/audio/lossless/mono16-8.flac', import.meta.url));
    const { channels, info } = read(reference);
    const again = encodeFlac(Float32Array.from(channels[0]), { sampleRateHz: info?.sampleRateHz ?? 0 });
    expect(md5(again)).toBe(md5(reference));
    const [left, right] = nearlyAlike;
    const interleaved = Int16Array.from({ length: 20_000 }, (_, i) => 32768 * (i % 2 === 0 ? left : right)[i >> 1]);
    const digest = createHash('md5').update(new Uint8Array(interleaved.buffer)).digest('hex');
    expect(md5(encodeFlac(nearlyAlike, { sampleRateHz: 8000 }))).toBe(digest);
  });

  it('any samples come back, rounded to 16 bits and cut at full scale', () => {
    const sample = fc.oneof(fc.double({ min: -1.2, max: 1.2, noNaN: true }), fc.constantFrom(0, 1, -1));
    fc.assert(
      fc.property(fc.array(sample, { minLength: 1, maxLength: 80 }), (samples) => {
        const given = Float32Array.from(samples);
        expect(read(encodeFlac(given, { sampleRateHz: 11_025 })).channels[0]).toEqual(
          [...given].map((x) => grid(32768 * x)),
        );
      }),
      { numRuns: 100, seed: 1 },
    );
  });

  it.each([8000, 11_025, 44_100, 48_000, 96_000, 250_000, 1_000_001])('%d Hz is stated', (sampleRateHz) => {
    expect(read(encodeFlac(sound(100, 5), { sampleRateHz })).info?.sampleRateHz).toBe(sampleRateHz);
  });

  it('holds comments', () => {
    const comments = [
      { name: 'DATE', value: '2031-04-05T06:07:08Z' },
      { name: 'COMMENT', value: 'Simulated by fiveunit' },
    ];
    const { info } = read(encodeFlac(sound(100, 5), { sampleRateHz: 8000, comments }));
    expect(info).toMatchObject({ comments, simulated: true });
    expect(saySimulated(comments)).toBe(true);
  });

  it('is smaller than WAV: a tone in noise by a tenth, a clean tone by half', () => {
    const clean = Float32Array.from({ length: 40_000 }, (_, n) => grid(9000 * Math.sin(n / 20)));
    expect(encodeFlac(sound(40_000, 6), { sampleRateHz: 8000 }).length).toBeLessThan(0.9 * 80_000);
    expect(encodeFlac(clean, { sampleRateHz: 8000 }).length).toBeLessThan(0.5 * 80_000);
  });

  it('refuses what a FLAC file cannot hold', () => {
    const refuses = (code: string) => expect.objectContaining({ name: 'AudioError', code });
    expect(() => encodeFlac([], { sampleRateHz: 8000 })).toThrow(refuses('channel-count'));
    expect(() => encodeFlac(sound(1, 1), { sampleRateHz: 2 ** 20 })).toThrow(refuses('sample-rate'));
    expect(() => encodeFlac(sound(1, 1), { sampleRateHz: 8000.5 })).toThrow(refuses('sample-rate'));
  });
});

describe('FlacWriter', () => {
  it('gives the same bytes for any pieces; nothing of a stopped recording is lost but its last block', () => {
    const samples = sound(15_000, 7);
    const write = (pieces: readonly number[]): number[] => {
      const writer = new FlacWriter({ sampleRateHz: 8000, channels: 1 });
      const bytes: number[] = [];
      const keep = (part: Uint8Array) => bytes.push(...part);
      for (let i = 0, at = 0; at < samples.length; i++) {
        const piece = samples.subarray(at, at + pieces[i % pieces.length]);
        writer.push([piece], piece.length, keep);
        at += piece.length;
      }
      const stopped = bytes.length;
      expect(read(Uint8Array.from(bytes)).channels[0]).toEqual([...samples.subarray(0, 3 * BLOCK_SIZE)]);
      writer.end(keep);
      expect(bytes.length).toBeGreaterThan(stopped);
      return bytes;
    };
    const whole = write([15_000]);
    expect(read(Uint8Array.from(whole)).info?.statedFrames).toBeNull();
    expect(read(Uint8Array.from(whole)).channels[0]).toEqual([...samples]);
    expect(write([1, 500, 5000])).toEqual(whole);
  });

  it('numbers frames far on, as a long recording needs', () => {
    const writer = new FlacWriter({ sampleRateHz: 8000, channels: 1 });
    const reader = new FlacReader();
    const quiet = new Float32Array(BLOCK_SIZE);
    const blocks = 2100;
    let frames = 0;
    const take = (block: { frames: number }) => {
      frames += block.frames;
    };
    for (let i = 0; i < blocks; i++) writer.push([quiet], BLOCK_SIZE, (bytes) => reader.push(bytes, take));
    reader.end(take);
    expect(frames).toBe(blocks * BLOCK_SIZE);
    expect(reader.problems.map(({ code }) => code)).toEqual(['silent']);
  });
});

describe.skipIf(!hasSox)('sox', () => {
  it.each([
    ['mono', [sound(20_000, 8)]],
    ['stereo', [sound(9000, 9), harsh(9000)]],
    ['stereo as mean and difference', nearlyAlike],
  ])('reads %s alike', (_, channels) => {
    const input = encodeFlac(channels, { sampleRateHz: 8000 });
    const { stdout, stderr, status } = spawnSync('sox', '-D -t flac - -t wav -'.split(' '), {
      input,
      maxBuffer: 2 ** 26,
    });
    expect(`${stderr}`).toBe('');
    expect(status).toBe(0);
    expect(readAll(new Uint8Array(stdout)).channels).toEqual(channels.map((samples) => [...samples]));
  });
});

describe('a recording as FLAC', () => {
  const wav = new Uint8Array(readFileSync(new URL('../../../samples/dunlin-three.wav', import.meta.url)));

  it('gives the same bursts as its WAV', () => {
    const samples = Float32Array.from(readAll(wav).channels[0]);
    const whole = decodeBytes(wav);
    const { bursts, summary } = decodeBytes(encodeFlac(samples, { sampleRateHz: 8000 }), { missions: [] }, 50_000);
    expect(whole.bursts.length).toBe(3);
    expect(bursts).toEqual(whole.bursts);
    expect(summary.seconds).toBe(whole.summary.seconds);
  });

  it.skipIf(!hasSox)('or AIFF of another program does so too', () => {
    const whole = decodeBytes(wav);
    for (const type of ['flac', 'aiff']) {
      const { stdout } = spawnSync('sox', `-D -t wav - -t ${type} -`.split(' '), { input: wav, maxBuffer: 2 ** 26 });
      const { bursts, summary } = decodeBytes(new Uint8Array(stdout));
      expect(bursts).toEqual(whole.bursts);
      expect(summary.info.encoding).toMatch(type);
    }
  });
});

it('check files written again are alike', () => {
  const { channels } = readAll(checkFile('mono16.wav'));
  expect(read(encodeFlac(Float32Array.from(channels[0]), { sampleRateHz: 8000 })).channels).toEqual(channels);
});

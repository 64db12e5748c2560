import { describe, expect, it } from 'vitest';
import { SIMULATED } from '../../../decoders/audio/info-chunk.ts';
import { encodeWav, packSamples, wavHeader } from '../../../decoders/audio/wav-write.ts';
import reference from '../../reference/audio.json';
import { fromHex, readAll } from './wav-file.ts';

describe('encodeWav', () => {
  it('writes the header that other programs write (tests/reference/audio.json)', () => {
    const [example] = reference.wav_header_examples_hex;
    const file = encodeWav(new Float32Array(80), { sampleRateHz: 8000, format: 'pcm16' });
    expect(file.subarray(0, 44)).toEqual(fromHex(example.hex));
    expect(file.length).toBe(44 + 160);
  });

  it('writes 16-bit samples that come back bit for bit, and cuts what is beyond', () => {
    const samples = Float32Array.of(0, 1 / 32768, -1, 32767 / 32768, 0.5, 1, 2, -3, Number.NaN);
    const back = readAll(encodeWav(samples, { sampleRateHz: 8000, format: 'pcm16' })).channels[0];
    const most = 32767 / 32768;
    expect(back).toEqual([0, 1 / 32768, -1, most, 0.5, most, most, -1, 0]);
  });

  it('writes float samples and several channels', () => {
    const channels = [Float32Array.of(0.1, 2.5), Float32Array.of(-0.3, 1e-9)];
    const result = readAll(encodeWav(channels, { sampleRateHz: 48000, format: 'float32' }));
    expect(result.info).toMatchObject({ encoding: 'wav float 32', channels: 2, sampleRateHz: 48000, statedFrames: 2 });
    expect(result.channels).toEqual(channels.map((c) => [...c]));
    expect(result.problems).toEqual([]);
  });

  it('is known as simulated by its comment, and by nothing else', () => {
    const info = (comment: string) => {
      const options = { sampleRateHz: 8000, format: 'pcm16' as const, comment };
      return readAll(encodeWav(new Float32Array(80), options)).info;
    };
    expect(info(`${SIMULATED}: seed 3`)?.simulated).toBe(true);
    expect(info('A pass that nobody simulated')?.simulated).toBeUndefined();
  });

  it('says inside what it is and when it began', () => {
    const comment = 'Simulated by fiveunit: no real satellite.';
    const startedAt = '2031-04-05T06:07:08.500Z';
    const samples = Float32Array.from({ length: 101 }, (_, n) => Math.sin(n));
    const file = encodeWav(samples, { sampleRateHz: 8000, format: 'pcm16', comment, startedAt });
    const text = String.fromCharCode(...file.subarray(0, 1000));
    expect(text.split(comment).length).toBe(3);
    // bext: date at 320, time at 330, samples since midnight at 338 (EBU Tech 3285).
    const bext = file.subarray(text.indexOf('bext') + 8);
    expect(String.fromCharCode(...bext.subarray(320, 338))).toBe('2031-04-0506:07:08');
    expect(new DataView(bext.buffer, bext.byteOffset).getUint32(338, true)).toBe((6 * 3600 + 7 * 60 + 8.5) * 8000);
    const result = readAll(file);
    expect(result.info?.startedAt).toEqual({ iso: startedAt, source: 'LIST ICRD' });
    expect(result.channels[0].length).toBe(101);
    expect(result.problems).toEqual([]);
  });

  it('is the header and the packed samples, so that long files can be written in blocks', () => {
    const samples = Float32Array.from({ length: 300 }, (_, n) => Math.sin(n));
    const options = { sampleRateHz: 8000, format: 'pcm16', comment: 'odd' } as const;
    const parts = [
      wavHeader({ ...options, channels: 1, frames: 300 }),
      packSamples([samples], 100, 'pcm16'),
      packSamples([samples.subarray(100)], 200, 'pcm16'),
    ];
    expect(parts.flatMap((part) => [...part])).toEqual([...encodeWav(samples, options)]);
  });

  it('refuses what a WAV file cannot hold and a start that is no time', () => {
    const options = { sampleRateHz: 48000, format: 'pcm16', channels: 1 } as const;
    expect(() => wavHeader({ ...options, frames: 2 ** 31 })).toThrow(expect.objectContaining({ code: 'too-long' }));
    expect(() => wavHeader({ ...options, frames: 1, startedAt: 'noon' })).toThrow(/"noon" is no time/);
  });
});

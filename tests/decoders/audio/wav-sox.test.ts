import { spawnSync } from 'node:child_process';
import { describe, expect, it } from 'vitest';
import { RecordingReader } from '../../../decoders/audio/open.ts';
import { readAll } from './wav-file.ts';

const hasSox = spawnSync('sox', ['--version']).status === 0;
if (!hasSox) console.warn('SKIPPED: sox is not installed; WAV files of another program were not read.');

/** Lets sox (a general-purpose audio tool) make 1000 Hz at half scale, written in the asked form. */
function soxFile(rate: number, channels: number, form: string, container = 'wav'): Uint8Array {
  const args = `-D -V1 -r ${rate} -c ${channels} -n ${form} -t ${container} - synth 0.51 sine 1000 gain -6.0206`.split(
    ' ',
  );
  const { stdout, status, stderr } = spawnSync('sox', args, { maxBuffer: 2 ** 26 });
  if (status !== 0) throw new Error(String(stderr));
  return new Uint8Array(stdout);
}

describe.skipIf(!hasSox)('WAV files written by sox', () => {
  it.each([
    ['-e unsigned -b 8', 'wav pcm 8', 1 / 128],
    ['-e signed -b 16', 'wav pcm 16', 1 / 32768],
    ['-e signed -b 24', 'wav pcm 24', 2e-7],
    ['-e signed -b 32', 'wav pcm 32', 1e-7],
    ['-e float -b 32', 'wav float 32', 1e-7],
    ['-e float -b 64', 'wav float 64', 1e-7],
    ['-e a-law -b 8', 'wav a-law', 1 / 60],
    ['-e mu-law -b 8', 'wav mu-law', 1 / 60],
  ])('%s', (form, encoding, tolerance) => {
    for (const [rate, channels] of [
      [8000, 1],
      [11025, 2],
      [48000, 5],
      [192000, 1],
    ]) {
      const result = readAll(soxFile(rate, channels, form), [60_000], new RecordingReader());
      expect(result.info).toMatchObject({ sampleRateHz: rate, channels, encoding });
      expect(result.channels.length).toBe(channels);
      const frames = Math.round(0.51 * rate);
      let worst = 0;
      for (const samples of result.channels) {
        expect(samples.length).toBe(frames);
        samples.forEach((x, n) => {
          worst = Math.max(worst, Math.abs(x - 0.5 * Math.sin((2 * Math.PI * 1000 * n) / rate)));
        });
      }
      expect(worst).toBeLessThan(tolerance * 1.01);
      expect(result.problems).toEqual([]);
    }
  });

  it('of another encoding is refused by name', () => {
    for (const form of ['-e ms-adpcm', '-e ima-adpcm', '-e gsm-full-rate']) {
      expect(() => readAll(soxFile(8000, 1, form), [4096], new RecordingReader())).toThrow(/ADPCM|GSM/);
    }
  });
});

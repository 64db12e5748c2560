import { describe, expect, it } from 'vitest';
import { AudioError } from '../../../../decoders/errors.ts';
import { flipped, randomBytes, truncations } from '../../support/damage.ts';
import { fitTone, itReads, readDamaged, readRecording, referenceAudio } from '../../support/lossy.ts';
import { joined, packetPage, pagesOf } from './ogg-file.ts';

const tone = referenceAudio('tone.opus');
const pages = pagesOf(tone);

function head(channels: number, family: number, version = 1): Uint8Array {
  return Uint8Array.of(
    ...[...'OpusHead'].map((c) => c.charCodeAt(0)),
    version,
    channels,
    0,
    0,
    0,
    0,
    0,
    0,
    0,
    0,
    family,
  );
}

describe('Opus in Ogg', () => {
  it('gives the tone that an encoder was given, in its place and length', async () => {
    const { info, problems, channels, seconds } = await readRecording(tone);
    expect(info).toMatchObject({ sampleRateHz: 48_000, channels: 1, encoding: 'ogg opus', statedFrames: null });
    expect(info.comments).toContainEqual({ name: 'ENCODER', value: expect.stringContaining('opusenc') });
    expect(problems).toEqual([]);
    expect(seconds).toBe(6);
    const { amplitude, phase, restDb } = fitTone(channels[0], 48_000, 997, 0.5, 5.5);
    expect(amplitude).toBeCloseTo(0.5, 1);
    // The resampler of the encoder may be off by a fraction of a sample of 8 kHz.
    expect(Math.abs(phase)).toBeLessThan(0.1);
    expect(restDb).toBeLessThan(-12);
  });

  it('keeps two channels apart', async () => {
    const { channels, seconds } = await readRecording(referenceAudio('two-tones.opus'));
    expect(seconds).toBe(2);
    expect(fitTone(channels[0], 48_000, 997, 0.5, 1.5)).toMatchObject({ amplitude: expect.closeTo(0.5, 1) });
    expect(fitTone(channels[0], 48_000, 997, 0.5, 1.5).restDb).toBeLessThan(-15);
    expect(fitTone(channels[1], 48_000, 603, 0.5, 1.5).restDb).toBeLessThan(-15);
  });

  it('applies the output gain (RFC 7845, section 5.1)', async () => {
    const louder = pages[0].body.slice();
    // -6.0206 dB in Q7.8.
    new DataView(louder.buffer).setInt16(16, -1541, true);
    const file = joined(packetPage([louder], { flags: 2 }), tone.subarray(pages[1].at));
    const [plain] = (await readRecording(tone)).channels;
    const [half] = (await readRecording(file)).channels;
    expect(half.length).toBe(plain.length);
    expect(half.reduce((worst, x, i) => Math.max(worst, Math.abs(x - 0.5 * plain[i])), 0)).toBeLessThan(1e-4);
  });

  itReads('opus');

  it('is refused in a form that is not read', async () => {
    for (const [first, code] of [
      [head(3, 1), 'channel-count'],
      [head(0, 0), 'channel-count'],
      [head(2, 0, 16), 'ogg-opus-head'],
      [head(2, 0).subarray(0, 12), 'ogg-opus-head'],
    ] as const) {
      expect(await readDamaged(packetPage([first], { flags: 2 }))).toMatchObject({ name: 'AudioError', code });
    }
  });

  it('cut short anywhere is read as far as it goes', async () => {
    for (const cut of truncations(tone, 100, 1)) {
      const read = await readDamaged(cut);
      if (read instanceof AudioError) {
        expect(cut.length).toBeLessThan(pages[1].at);
        continue;
      }
      expect(read.problems.map(({ code }) => code)).toContain('cut-short');
      const sound = (cut.length - pages[2].at) / (tone.length - pages[2].at);
      expect(read.seconds).toBeGreaterThan(6 * sound - 0.3);
      expect(read.seconds).toBeLessThanOrEqual(6);
    }
  });

  it('with 1 % of its bytes wrong keeps about its length and says where it is damaged', async () => {
    for (let seed = 1; seed <= 10; seed++) {
      const read = await readDamaged(flipped(tone, 0.01, seed, pages[1].at));
      if (read instanceof AudioError) throw read;
      expect(Math.abs(read.seconds - 6)).toBeLessThan(1.5);
      expect(read.problems.some(({ code }) => code === 'damaged')).toBe(true);
    }
    for (let seed = 1; seed <= 30; seed++) await readDamaged(flipped(tone, 0.01, seed));
  });

  it('takes bytes that are no Opus for silence, not for sound', async () => {
    const noise = Array.from({ length: 50 }, (_, i) => randomBytes(100, i).with(0, 3).with(1, 0));
    const file = joined(tone.subarray(0, pages[2].at), packetPage(noise, { sequence: 2, granule: 48_000n, flags: 4 }));
    const { channels, problems } = await readRecording(file);
    expect(channels[0].every((x) => x === 0)).toBe(true);
    expect(problems.map(({ code }) => code)).toEqual(['damaged', 'silent']);
  });
});

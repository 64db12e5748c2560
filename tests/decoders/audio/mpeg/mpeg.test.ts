import { describe, expect, it } from 'vitest';
import { sureSeconds } from '../../../../decoders/audio/time-gaps.ts';
import { AudioError } from '../../../../decoders/errors.ts';
import { flipped, randomBytes, truncations, without } from '../../support/damage.ts';
import {
  digestOf,
  FRAMES_OF_DUNLIN_THREE,
  fitTone,
  framesOf,
  itReads,
  readDamaged,
  readRecording,
  referenceAudio,
} from '../../support/lossy.ts';
import { joined } from '../ogg/ogg-file.ts';
import { bytes } from '../wav-file.ts';

const tone = referenceAudio('tone.mp3');
const FRAME = 216;
const FRAME_SECONDS = 576 / 8000;
/** Samples that the encoder and any decoder put before the sound. */
const DELAY_SECONDS = 1105 / 8000;
const id3 = bytes('ID3', [4, 0, 0, 0, 0, 7, 0x7f], new Uint8Array(7 * 128 + 127));
const tagAtEnd = bytes('TAG', new Uint8Array(125));

describe('MP3', () => {
  it('gives the tone that an encoder was given, sample for sample in its place and length', async () => {
    const { info, problems, channels, seconds } = await readRecording(tone);
    expect(info).toMatchObject({ sampleRateHz: 8000, channels: 1, encoding: 'mp3', statedFrames: 48_000 });
    expect(problems).toEqual([]);
    expect(seconds).toBe(6);
    const { amplitude, phase, restDb } = fitTone(channels[0], 8000, 997, 0.1, 5.9);
    expect(amplitude).toBeCloseTo(0.5, 1);
    expect(Math.abs(phase)).toBeLessThan(0.01);
    expect(restDb).toBeLessThan(-40);
  });

  it('keeps two channels of a variable rate apart', async () => {
    const { info, problems, channels, seconds } = await readRecording(referenceAudio('two-tones.mp3'));
    expect(info).toMatchObject({ sampleRateHz: 44_100, channels: 2, statedFrames: 88_200 });
    expect(problems).toEqual([]);
    expect(seconds).toBe(2);
    expect(fitTone(channels[0], 44_100, 997, 0.2, 1.8).restDb).toBeLessThan(-30);
    expect(fitTone(channels[1], 44_100, 603, 0.2, 1.8).restDb).toBeLessThan(-30);
    expect(Math.abs(fitTone(channels[1], 44_100, 603, 0.2, 1.8).phase)).toBeLessThan(0.01);
  });

  itReads('mp3');

  it('is the same with tags around it', async () => {
    const whole = digestOf(await readRecording(tone));
    expect(digestOf(await readRecording(joined(id3, tone, tagAtEnd)))).toEqual(whole);
  });

  describe('of files that were joined', () => {
    const bare = tone.subarray(FRAME);

    it.each([
      ['their descriptions', joined(tone, tone)],
      ['tags', joined(id3, tone, tagAtEnd, id3, tone, tagAtEnd)],
      ['tags alone', joined(tone, tagAtEnd, bare)],
      ['a tag before the second', joined(tone, id3, bare)],
    ])('goes on, and says where the second begins by %s', async (_, file) => {
      const read = await readRecording(file);
      expect(read.seconds).toBeCloseTo((2 * 86 * 576 - 1105) / 8000, 6);
      expect(read.problems).toEqual([
        {
          code: 'time-gaps',
          message: expect.stringContaining('files were joined'),
          atSeconds: expect.closeTo(86 * FRAME_SECONDS - DELAY_SECONDS, 6),
        },
      ]);
      for (const pieces of [[1], [7, 100, 3000]]) {
        expect(digestOf(await readRecording(file, pieces))).toEqual(digestOf(read));
      }
      const from = 86 * FRAME_SECONDS;
      expect(fitTone(read.channels[0].subarray(Math.round(8000 * from)), 8000, 997, 0.1, 5.8).restDb).toBeLessThan(-40);
    });

    it('gives the frames of both, none of the second dated through', async () => {
      const pass = referenceAudio('dunlin-three.mp3');
      const both = joined(pass, pass);
      expect(await framesOf(both)).toEqual([...FRAMES_OF_DUNLIN_THREE, ...FRAMES_OF_DUNLIN_THREE]);
      const { problems, seconds } = await readRecording(both);
      expect(sureSeconds(null, problems)).toBeLessThan(seconds / 2 + 1);
    });

    it('is read as far as they have one form, and says what is left out', async () => {
      const read = await readRecording(joined(tone, id3, referenceAudio('two-tones.mp3')));
      expect([read.seconds, read.info.sampleRateHz]).toEqual([6, 8000]);
      expect(read.problems).toMatchObject([{ code: 'second-stream', atSeconds: expect.closeTo(6, 0) }]);
      expect((await readRecording(joined(tone, tagAtEnd, randomBytes(3000, 4)))).problems).toEqual([]);
    });
  });

  it('gives all of a file that does not say what its encoder added', async () => {
    const { seconds, info } = await readRecording(tone.subarray(FRAME));
    expect(info?.statedFrames).toBeNull();
    expect(seconds).toBeCloseTo(86 * FRAME_SECONDS, 6);
  });

  it('puts silence for frames that cannot be found, with their position, and keeps the time behind them', async () => {
    const wrong = tone.slice();
    wrong.fill(0x55, 30 * FRAME, 40 * FRAME);
    const { channels, problems, seconds } = await readRecording(wrong);
    expect(seconds).toBe(6);
    const at = 29 * FRAME_SECONDS - DELAY_SECONDS;
    expect(problems).toEqual([
      {
        code: 'damaged',
        message: expect.stringContaining(`to ${(at + 10 * FRAME_SECONDS).toFixed(2)} s`),
        atSeconds: expect.closeTo(at, 6),
      },
    ]);
    const silence = channels[0].subarray(Math.round((at + 0.1) * 8000), Math.round((at + 0.6) * 8000));
    expect(silence.every((x) => x === 0)).toBe(true);
    expect(Math.abs(fitTone(channels[0], 8000, 997, 4, 5.9).phase)).toBeLessThan(0.01);
  });

  it('takes foreign bytes between frames for what they are', async () => {
    const file = joined(tone.subarray(0, 30 * FRAME), randomBytes(10_000, 1), tone.subarray(30 * FRAME));
    const { digest, problems } = await readRecording(file);
    expect(digest).toBe((await readRecording(tone)).digest);
    expect(problems).toMatchObject([{ code: 'damaged', message: expect.stringContaining('no sound was lost') }]);
  });

  it('says that the end is missing, and that something else follows', async () => {
    const cut = await readRecording(tone.subarray(0, 50 * FRAME + 100));
    expect(cut.problems).toMatchObject([{ code: 'cut-short' }]);
    expect(cut.seconds).toBeCloseTo(49 * FRAME_SECONDS - DELAY_SECONDS, 6);
    expect((await readRecording(without(tone, 70 * FRAME, tone.length))).problems[0].code).toBe('cut-short');
    const more = await readRecording(joined(tone, randomBytes(3000, 2)));
    expect(more.problems).toMatchObject([{ code: 'trailing-bytes', atSeconds: expect.any(Number) }]);
    expect(more.seconds).toBe(6);
  });

  it('is refused when only its first bytes look like it', async () => {
    const noise = randomBytes(400_000, 3);
    for (const start of ['fffb9064', 'ffe338c4', 'fffd8004']) {
      const file = joined(
        Uint8Array.from(start.match(/../g) ?? [], (pair) => Number.parseInt(pair, 16)),
        noise,
      );
      expect(await readDamaged(file)).toMatchObject({ code: 'not-a-recording' });
      expect(await readDamaged(file.subarray(0, 5000))).toMatchObject({ code: 'not-a-recording' });
    }
  });

  it('cut short anywhere is read as far as it goes', async () => {
    for (const cut of truncations(tone, 100, 1)) {
      const read = await readDamaged(cut);
      if (read instanceof AudioError) {
        expect(cut.length).toBeLessThan(5 * FRAME);
        continue;
      }
      expect(read.problems.map(({ code }) => code)).toContain('cut-short');
      const frames = Math.floor(cut.length / FRAME) - 1;
      expect(read.seconds).toBeCloseTo(Math.max(0, frames * FRAME_SECONDS - DELAY_SECONDS), 6);
    }
  });

  it('with 1 % of its bytes wrong keeps its length and says where frames were not found', async () => {
    let noticed = 0;
    for (let seed = 1; seed <= 30; seed++) {
      const read = await readDamaged(flipped(tone, 0.01, seed, FRAME));
      if (read instanceof AudioError) throw read;
      expect(Math.abs(read.seconds - 6)).toBeLessThan(2 * FRAME_SECONDS);
      if (read.problems.some(({ code }) => code === 'damaged')) noticed++;
    }
    // A frame whose header is right looks right.
    expect(noticed).toBeGreaterThan(25);
    for (let seed = 1; seed <= 30; seed++) await readDamaged(flipped(tone, 0.01, seed));
  });
});

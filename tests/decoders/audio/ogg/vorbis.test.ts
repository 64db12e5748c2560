import { describe, expect, it } from 'vitest';
import { AudioError } from '../../../../decoders/errors.ts';
import { flipped, randomBytes, truncations, without } from '../../support/damage.ts';
import { fitTone, itReads, readDamaged, readRecording, referenceAudio } from '../../support/lossy.ts';
import { joined, oggPage, pagesOf, reserial, rewritten } from './ogg-file.ts';

const tone = referenceAudio('tone.ogg');
const pages = pagesOf(tone);
const sound = pages.findIndex(({ granule }) => granule !== null && granule > 0);
const dunlin = referenceAudio('dunlin-three.ogg');

describe('Vorbis in Ogg', () => {
  it('gives the tone that an encoder was given, sample for sample in its place and length', async () => {
    const { info, problems, channels, seconds } = await readRecording(tone);
    expect(info).toMatchObject({ sampleRateHz: 8000, channels: 1, encoding: 'ogg vorbis', statedFrames: null });
    expect(problems).toEqual([]);
    expect(seconds).toBe(6);
    const { amplitude, phase, restDb } = fitTone(channels[0], 8000, 997, 0.1, 5.9);
    expect(amplitude).toBeCloseTo(0.5, 1);
    expect(Math.abs(phase)).toBeLessThan(0.01);
    expect(restDb).toBeLessThan(-18);
  });

  it('keeps two channels apart', async () => {
    const { channels, seconds } = await readRecording(referenceAudio('two-tones.ogg'));
    expect(seconds).toBe(2);
    expect(fitTone(channels[0], 44_100, 997, 0.2, 1.8).restDb).toBeLessThan(-20);
    expect(fitTone(channels[1], 44_100, 603, 0.2, 1.8).restDb).toBeLessThan(-20);
    expect(Math.abs(fitTone(channels[1], 44_100, 603, 0.2, 1.8).phase)).toBeLessThan(0.01);
  });

  it('goes on with a stream behind the first that has the same tables', async () => {
    const once = await readRecording(tone);
    const twice = await readRecording(joined(tone, reserial(tone, 2)));
    expect(twice.problems).toMatchObject([{ code: 'time-gaps', atSeconds: 6 }]);
    expect(twice.seconds).toBe(12);
    const [channel] = twice.channels;
    expect(channel.subarray(0, 48_000).every((x, i) => x === once.channels[0][i])).toBe(true);
    // The second stream is no other for standing behind one.
    expect(channel.subarray(48_000).every((x, i) => Math.abs(x - once.channels[0][i]) < 1e-6)).toBe(true);
  });

  it('leaves out a stream behind the first that has other tables, and says so', async () => {
    const others = pages.map((page, n) => {
      const body = page.body.slice();
      if (n === sound - 1) body[body.length - 2] ^= 1;
      return rewritten({ ...page, body }, { serial: 2, sequence: n });
    });
    for (const behind of [reserial(referenceAudio('two-tones.ogg'), 2), joined(...others)]) {
      const { seconds, problems } = await readRecording(joined(tone, behind));
      expect(seconds).toBe(6);
      expect(problems.map(({ code }) => code)).toContain('second-stream');
    }
  });

  itReads('ogg');

  it('keeps the time behind lost pages', async () => {
    const whole = await readRecording(dunlin);
    const all = pagesOf(dunlin);
    const from = all.findIndex(({ granule }) => (granule ?? 0) > 10 * 8000);
    const to = all.findIndex(({ granule }) => (granule ?? 0) > 15 * 8000);
    const { channels, problems, seconds } = await readRecording(without(dunlin, all[from].at, all[to].at));
    expect(seconds).toBe(whole.seconds);
    expect(problems).toMatchObject([{ code: 'damaged', atSeconds: (all[from - 1].granule ?? 0) / 8000 }]);
    const behind = 16 * 8000;
    const right = whole.channels[0].subarray(behind);
    expect(channels[0].subarray(behind).every((x, i) => x === right[i])).toBe(true);
  });

  it('loses little by one wrong byte', async () => {
    const wrong = dunlin.slice();
    const page = pagesOf(dunlin)[12];
    wrong[page.at + page.size - 1000] ^= 0x55;
    const whole = await readRecording(dunlin);
    const { channels, problems, seconds } = await readRecording(wrong);
    expect(seconds).toBe(whole.seconds);
    expect(problems).toMatchObject([{ code: 'damaged', message: expect.stringContaining('may be noise') }]);
    const differing = channels[0].filter((x, i) => Math.abs(x - whole.channels[0][i]) > 1e-3).length;
    expect(differing).toBeGreaterThan(0);
    expect(differing / 8000).toBeLessThan(0.5);
  });

  it('is refused without a usable header', async () => {
    const head = pages[0].body;
    const first = (body: Uint8Array) => oggPage({ flags: 2, lacing: [body.length], body });
    for (const body of [
      head.subarray(0, 20),
      head.with(11, 0),
      head.with(7, 1),
      head.with(28, 0x57),
      head.with(14, 9),
    ]) {
      const file = joined(first(body), tone.subarray(pages[1].at));
      expect(await readDamaged(file)).toMatchObject({ code: 'ogg-vorbis-head' });
    }
  });

  it('is refused without its tables, or with tables that were tampered with', async () => {
    const noSetup = without(tone, pages[1].at, pages[sound].at);
    expect(await readDamaged(noSetup)).toMatchObject({ code: 'ogg-vorbis-setup' });
    const setupAt = pages[sound].at - 400;
    expect(await readDamaged(tone.with(setupAt, tone[setupAt] ^ 1))).toMatchObject({ code: 'ogg-vorbis-setup' });
    // With a right CRC the decoder itself must cope.
    for (let seed = 1; seed <= 30; seed++) {
      const { body, lacing } = pages[1];
      const tampered = oggPage({ sequence: 1, lacing: [...lacing], body: flipped(body, 0.003, seed, 200) });
      const read = await readDamaged(joined(tone.subarray(0, pages[1].at), tampered, tone.subarray(pages[2].at)));
      if (!(read instanceof AudioError)) expect(read.seconds).toBeLessThan(20);
    }
  });

  it('cut short anywhere is read as far as it goes', async () => {
    for (const cut of truncations(tone, 100, 1)) {
      const read = await readDamaged(cut);
      if (read instanceof AudioError) {
        expect(cut.length).toBeLessThan(pages[sound].at);
        continue;
      }
      expect(read.problems.map(({ code }) => code)).toContain('cut-short');
      expect(read.seconds).toBeLessThanOrEqual(6);
    }
  });

  it('with 1 % of its bytes wrong keeps about its length and says where it is damaged', async () => {
    for (let seed = 1; seed <= 5; seed++) {
      const at = pagesOf(dunlin)[2].at;
      const read = await readDamaged(flipped(dunlin, 0.01, seed, at));
      if (read instanceof AudioError) throw read;
      expect(read.seconds).toBeGreaterThan(20);
      expect(read.seconds).toBeLessThan(60);
      expect(read.problems.some(({ code }) => code === 'damaged')).toBe(true);
    }
    for (let seed = 1; seed <= 30; seed++) await readDamaged(flipped(tone, 0.01, seed));
  });

  it('takes bytes that are no Vorbis for silence or noise, without fail', async () => {
    const junk = Array.from({ length: 20 }, (_, i) => randomBytes(50, i));
    const page = oggPage({ sequence: 2, granule: 8000n, flags: 4, lacing: junk.map(() => 50), body: joined(...junk) });
    const { channels } = await readRecording(joined(tone.subarray(0, pages[sound].at), page));
    expect(channels[0].every((x) => Number.isFinite(x))).toBe(true);
  });
});

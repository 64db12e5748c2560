import { describe, expect, it } from 'vitest';
import { OggReader } from '../../../../decoders/audio/ogg/ogg.ts';
import { AudioError } from '../../../../decoders/errors.ts';
import { randomBytes, without } from '../../support/damage.ts';
import { digestOf, fitTone, readDamaged, readRecording, referenceAudio } from '../../support/lossy.ts';
import { joined, packetPage, pagesOf, reserial, rewritten } from './ogg-file.ts';

const tone = referenceAudio('tone.opus');
const pages = pagesOf(tone);
const rate = 48_000;
const pageAt = (seconds: number) => pages.findIndex(({ granule }) => granule !== null && granule > seconds * rate);

describe('OggReader', () => {
  it('turns lost pages into silence of their length, with its position, and keeps the time behind it', async () => {
    const [from, to] = [pageAt(2), pageAt(3)];
    const { channels, problems, seconds } = await readRecording(without(tone, pages[from].at, pages[to].at));
    expect(seconds).toBe(6);
    const lost = ((pages[to - 1].granule ?? 0) - (pages[from - 1].granule ?? 0)) / rate;
    const at = ((pages[from - 1].granule ?? 0) - 312) / rate;
    expect(lost).toBeGreaterThan(0.9);
    expect(problems).toEqual([
      { code: 'damaged', message: expect.stringContaining(`to ${(at + lost).toFixed(2)} s`), atSeconds: at },
    ]);
    const silence = channels[0].subarray(Math.round(at * rate), Math.round((at + lost) * rate));
    expect(silence.every((x) => x === 0)).toBe(true);
    const before = fitTone((await readRecording(tone)).channels[0], rate, 997, at + lost + 0.2, 5.5);
    const behind = fitTone(channels[0], rate, 997, at + lost + 0.2, 5.5);
    expect(behind.phase).toBeCloseTo(before.phase, 2);
  });

  it('finds the pages again behind foreign bytes', async () => {
    const at = pages[pageAt(2)].at;
    const file = joined(tone.subarray(0, at), randomBytes(10_000, 1), tone.subarray(at));
    expect(digestOf(await readRecording(file))).toEqual(digestOf(await readRecording(tone)));
  });

  it('loses no more than a packet or two by one wrong byte', async () => {
    const page = pages[pageAt(3)];
    const wrong = tone.slice();
    wrong[page.at + page.size - 50] ^= 0x55;
    const { channels, problems, seconds } = await readRecording(wrong);
    expect(seconds).toBe(6);
    expect(problems).toHaveLength(1);
    expect(problems[0].code).toBe('damaged');
    expect(Math.abs((problems[0].atSeconds ?? 0) - 3)).toBeLessThan(0.3);
    const [right] = (await readRecording(tone)).channels;
    const differing = channels[0].filter((x, i) => Math.abs(x - right[i]) > 1e-3).length;
    expect(differing / rate).toBeLessThan(0.1);
  });

  it('reads the first stream of sound among several, page by page between each other', async () => {
    const other = packetPage([randomBytes(60, 2)], { serial: 77, flags: 2 });
    const more = (n: number) => packetPage([randomBytes(500, n)], { serial: 77, sequence: n, granule: BigInt(n) });
    const mixed = pages.map(({ at, size }, n) => joined(tone.subarray(at, at + size), more(n + 1)));
    expect(digestOf(await readRecording(joined(other, ...mixed)))).toEqual(digestOf(await readRecording(tone)));
  });

  it('goes on with a stream behind the first, and says so of one of another form', async () => {
    const once = await readRecording(tone);
    const again = Uint8Array.from(tone);
    const twice = await readRecording(joined(tone, reserial(again, 2)));
    expect(twice.problems).toMatchObject([{ code: 'time-gaps', atSeconds: 6 }]);
    expect(twice.seconds).toBe(12);
    expect(twice.channels[0].subarray(0, 6 * rate).every((x, i) => x === once.channels[0][i])).toBe(true);
    expect(fitTone(twice.channels[0].subarray(6 * rate), rate, 997, 0.5, 5.5).restDb).toBeLessThan(-12);

    const stereo = reserial(referenceAudio('two-tones.opus'), 3);
    const mixed = await readRecording(joined(tone, stereo));
    expect(mixed.seconds).toBe(6);
    expect(mixed.problems).toMatchObject([{ code: 'second-stream', atSeconds: 6 }]);
  });

  it('begins a stream that was cut out of a longer one with its first sample', async () => {
    const from = pageAt(2);
    const file = joined(tone.subarray(0, pages[2].at), renumbered(tone, from));
    const { seconds, problems } = await readRecording(file);
    expect(problems).toEqual([]);
    const left = 6 - ((pages[from - 1].granule ?? 0) - 312) / rate;
    // The pre-skip is taken off again, at the start of what is there.
    expect(seconds).toBeCloseTo(left - 312 / rate, 6);
  });

  it('says what it found where there is no sound to read', async () => {
    const speex = packetPage([Uint8Array.from('Speex   1.2', (c) => c.charCodeAt(0))], { flags: 2 });
    expect(await readDamaged(speex)).toMatchObject({ code: 'ogg-no-sound', message: expect.stringContaining('Speex') });
    const middle = await readDamaged(tone.subarray(pages[4].at));
    expect(middle).toMatchObject({ code: 'ogg-no-sound', message: expect.stringContaining('none') });
    expect(middle).toBeInstanceOf(AudioError);
  });

  it('asks for its decoder, and throws again what it threw', () => {
    const reader = new OggReader({});
    const error = expect.objectContaining({ code: 'codec-not-loaded' });
    expect(() => reader.push(tone, () => {})).toThrow(error);
    expect(() => reader.end(() => {})).toThrow(error);
  });
});

/** The pages from `from` on, numbered as if nothing were missing before them. */
function renumbered(file: Uint8Array, from: number): Uint8Array {
  return joined(
    ...pagesOf(file)
      .slice(from)
      .map((page, n) => rewritten(page, { serial: page.serial, sequence: 2 + n })),
  );
}

import { describe, expect, it } from 'vitest';
import { RecordingReader } from '../../../../decoders/audio/open.ts';
import { AudioError } from '../../../../decoders/errors.ts';
import { flipped, truncations } from '../../support/damage.ts';
import { checkFile } from '../flac/check-files.ts';
import { bytes, readAll } from '../wav-file.ts';
import { oggPage, pagesOf } from './ogg-file.ts';

const file = checkFile('mono16.oga');
const original = readAll(checkFile('mono16.wav')).channels[0];
const read = (given: Uint8Array, pieces = [1000]) => readAll(given, pieces, new RecordingReader());

describe('FLAC in Ogg (RFC 9639 section 10.1)', () => {
  it('written by flac 1.4.2 gives the samples of the WAV, and its comments', () => {
    const result = read(file);
    expect(result.channels).toEqual([original]);
    expect(result.info).toMatchObject({ encoding: 'ogg flac 16', sampleRateHz: 8000, channels: 1 });
    expect(result.info?.comments).toEqual([{ name: 'DATE', value: '2031-04-05T06:07:08Z' }]);
    expect(result.problems).toEqual([]);
    expect(read(file, [1])).toEqual(result);
  });

  it('a damaged frame is silence in its place; what follows keeps its time', () => {
    const damaged = file.slice();
    const at = 3000;
    damaged[at] ^= 0x10;
    const result = read(damaged);
    expect(result.channels[0].length).toBe(original.length);
    const wrong = original.flatMap((x, i) => (x === result.channels[0][i] ? [] : [i]));
    expect(wrong.length).toBeGreaterThan(500);
    expect(Math.floor(wrong[0] / 1152)).toBe(Math.floor(wrong[wrong.length - 1] / 1152));
    expect(wrong.every((i) => result.channels[0][i] === 0)).toBe(true);
    expect(result.problems.map(({ code }) => code)).toEqual(['damaged']);
  });

  it('is refused without a usable header', () => {
    const [{ body, size }] = pagesOf(file);
    for (const damaged of [body.subarray(0, 30), body.with(29, 0).with(28, 0).with(27, 0)]) {
      const head = oggPage({ flags: 2, lacing: [damaged.length], body: damaged });
      expect(() => read(bytes(head, file.subarray(size)))).toThrow(expect.objectContaining({ code: 'ogg-flac-head' }));
    }
  });

  it('goes on with a stream of the same form behind the first', () => {
    const second = pagesOf(file).map((page, sequence) =>
      oggPage({
        serial: 2,
        sequence,
        granule: BigInt(page.granule ?? -1),
        flags: (page.continued ? 1 : 0) | (page.first ? 2 : 0) | (page.last ? 4 : 0),
        lacing: [...page.lacing],
        body: page.body,
      }),
    );
    const result = read(bytes(file, ...second));
    expect(result.channels[0]).toEqual([...original, ...original]);
  });

  it('cut short anywhere it is read as far as it goes', () => {
    for (const cut of truncations(file, 100, 1)) {
      const samples = outcome(cut);
      if (samples !== null) expect(samples).toEqual(original.slice(0, samples.length));
    }
  });

  it('with 1 % of its bytes wrong: each sample that is not silent is one of the original', () => {
    const known = new Set([0, ...original]);
    for (let seed = 0; seed < 50; seed++) {
      expect(outcome(flipped(file, 0.01, seed))?.every((x) => known.has(x)) ?? true).toBe(true);
    }
  });
});

/** The samples that come of a damaged file; null when it is refused. */
function outcome(file: Uint8Array): number[] | null {
  try {
    return read(file, [5000]).channels[0] ?? [];
  } catch (error) {
    if (error instanceof AudioError) return null;
    throw error;
  }
}

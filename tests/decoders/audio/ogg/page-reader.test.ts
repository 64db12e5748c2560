import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type OggPage, OggPageReader } from '../../../../decoders/audio/ogg/page-reader.ts';
import reference from '../../../reference/audio.json';
import { randomBytes } from '../../support/damage.ts';
import { bytes, fromHex } from '../wav-file.ts';
import { joined, oggPage, packetPage, pagesOf } from './ogg-file.ts';

function read(file: Uint8Array, piece = file.length): OggPage[] {
  const pages: OggPage[] = [];
  const keep = (page: OggPage) => pages.push({ ...page, lacing: page.lacing.slice(), body: page.body.slice() });
  const reader = new OggPageReader();
  for (let at = 0; at < file.length; at += piece) reader.push(file.subarray(at, at + piece), keep);
  reader.end(keep);
  return pages;
}

const three = [1, 2, 3].map((n) => packetPage([randomBytes(300 * n, n)], { sequence: n, granule: BigInt(n) }));
const file = joined(...three);
const sequences = (pages: readonly OggPage[]) => pages.map(({ sequence, intact }) => [sequence, intact]);

describe('OggPageReader', () => {
  it('reads the page that an encoder wrote', () => {
    // First page of a file of opusenc; its CRC was made by another program.
    const [page] = read(fromHex(reference.ogg_opus_page_example.hex));
    expect(page).toMatchObject({ serial: 1, sequence: 0, granule: 0, first: true, last: false, intact: true });
    expect(page.body).toEqual(fromHex(reference.ogg_opus_page_example.hex).slice(28));
    expect(page.lacing).toEqual(Uint8Array.of(19));
  });

  it('reads the same from pieces of any size', () => {
    for (const piece of [1, 2, 26, 27, 28, 333, 5000]) expect(read(file, piece)).toEqual(read(file));
    expect(sequences(read(file))).toEqual([1, 2, 3].map((n) => [n, true]));
  });

  it('takes -1 as no position', () => {
    expect(read(oggPage({ granule: -1n, lacing: [255], body: randomBytes(255, 9) }))[0].granule).toBeNull();
  });

  it('passes over what is no page, capture patterns in it too', () => {
    const junk = joined(randomBytes(1000, 4), bytes('OggSOggS'), randomBytes(70_000, 5), bytes('OggS', [0, 0]));
    const pages = read(joined(junk, three[0], junk, three[1], three[2], junk), 777);
    expect(pages.filter(({ intact }) => intact).map(({ sequence }) => sequence)).toEqual([1, 2, 3]);
  });

  it('gives a page with a wrong byte out as damaged, without its position, when the next one follows', () => {
    const wrong = file.slice();
    wrong[three[0].length + 100] ^= 1;
    const pages = read(wrong);
    expect(sequences(pages)).toEqual([
      [1, true],
      [2, false],
      [3, true],
    ]);
    expect(pages[1].granule).toBeNull();
  });

  it('gives the whole segments of a page that is cut off by the end', () => {
    const body = randomBytes(60, 7);
    const page = oggPage({ lacing: [20, 20, 20], body });
    const pages = read(page.subarray(0, page.length - 1), 13);
    expect(pages).toHaveLength(1);
    expect(pages[0]).toMatchObject({ intact: false, last: false, lacing: Uint8Array.of(20, 20) });
    expect(pages[0].body).toEqual(body.subarray(0, 40));
  });

  it('finds a page behind a header whose lengths are wrong, at the end of the file too', () => {
    const wrong = file.slice();
    wrong[27] = 254;
    expect(sequences(read(wrong)).slice(-2)).toEqual([
      [2, true],
      [3, true],
    ]);
    const last = joined(three[0], three[1].with(26, 250), three[2]);
    expect(sequences(read(last)).at(-1)).toEqual([3, true]);
  });

  it('reads any bytes without fail, alike in any pieces', () => {
    fc.assert(
      fc.property(
        fc.integer(),
        fc.integer({ min: 1, max: 400 }),
        fc.integer({ min: 0, max: 1200 }),
        (seed, piece, at) => {
          const hurt = joined(file.subarray(0, at), randomBytes(Math.abs(seed) % 300, seed), file.subarray(at));
          expect(read(hurt, piece)).toEqual(read(hurt));
        },
      ),
      { numRuns: 60 },
    );
  });

  it('tells where pages stand, for the other tests', () => {
    expect(pagesOf(file).map(({ at }) => at)).toEqual([0, three[0].length, three[0].length + three[1].length]);
  });
});

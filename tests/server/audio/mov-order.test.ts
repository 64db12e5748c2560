import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { indexFirst } from '../../../server/audio/mov-order.ts';
import { bytes } from '../../decoders/audio/wav-file.ts';
import { flipped, randomBytes, truncations } from '../../decoders/support/damage.ts';
import { referenceAudio } from '../../decoders/support/lossy.ts';

const be32 = (x: number): number[] => [(x >>> 24) & 255, (x >>> 16) & 255, (x >>> 8) & 255, x & 255];
const box = (type: string, ...body: readonly (Uint8Array | readonly number[])[]): Uint8Array => {
  const inside = bytes(...body);
  return bytes(be32(8 + inside.length), type, inside);
};
const stco = (...places: number[]) => box('stco', be32(0), be32(places.length), places.flatMap(be32));
const co64 = (...places: number[]) =>
  box(
    'co64',
    be32(0),
    be32(places.length),
    places.flatMap((place) => [...be32(0), ...be32(place)]),
  );
const track = (table: Uint8Array) => box('trak', box('tkhd', [1, 2]), box('mdia', box('minf', box('stbl', table))));

const ftyp = box('ftyp', [1, 2, 3, 4]);
const sound = box('mdat', randomBytes(300, 1));
const behind = box('free', [9]);

function ordered(file: Uint8Array): Uint8Array {
  return bytes(...indexFirst((at, length) => file.subarray(at, at + length), file.length));
}

describe('indexFirst', () => {
  it('puts the index before the sound and moves the places in it', () => {
    const tables = (by: number) =>
      box('moov', track(stco(20 + by, 100 + by)), track(co64(50 + by)), track(stco(3, 100_000)));
    const moved = ordered(bytes(ftyp, sound, tables(0), behind));
    expect(moved).toEqual(bytes(ftyp, tables(tables(0).length), sound, behind));
  });

  it('leaves alone what has its index in front, or none', () => {
    for (const file of [bytes(ftyp, box('moov', track(stco(500))), sound), bytes(ftyp, sound), randomBytes(500, 2)]) {
      expect(ordered(file)).toEqual(file);
    }
  });

  it('keeps every byte of what an encoder wrote', () => {
    const file = referenceAudio('tone.m4a');
    const moved = ordered(file);
    expect(moved).toHaveLength(file.length);
    const at = (type: string, bytes: Uint8Array) => Buffer.from(bytes).indexOf(type);
    expect(at('mdat', file)).toBeLessThan(at('moov', file));
    expect(at('moov', moved)).toBeLessThan(at('mdat', moved));
  });

  it('takes damaged files as they are, without fail', () => {
    const file = referenceAudio('tone.m4a');
    for (const cut of truncations(file, 100, 1)) expect(ordered(cut)).toHaveLength(cut.length);
    for (let seed = 0; seed < 100; seed++) {
      const hurt = flipped(file, 0.01, seed);
      expect(ordered(hurt)).toHaveLength(hurt.length);
    }
    fc.assert(
      fc.property(fc.uint8Array({ maxLength: 300 }), (body) => {
        const hostile = bytes(ftyp, sound, box('moov', box('trak', box('mdia', box('minf', box('stbl', body))))));
        expect(ordered(hostile)).toHaveLength(hostile.length);
      }),
    );
  });

  it('refuses an index of absurd length', () => {
    const size = 2 ** 27;
    const head = bytes(ftyp, sound, be32(size), 'moov');
    const read = (at: number, length: number) => {
      const part = new Uint8Array(length);
      part.set(head.subarray(at, at + length));
      return part;
    };
    expect(() => [...indexFirst(read, ftyp.length + sound.length + size)]).toThrow(
      expect.objectContaining({ code: 'index-too-large' }),
    );
  });
});

import { describe, expect, it } from 'vitest';
import { MpegFrameFinder } from '../../../../decoders/audio/mpeg/frame-finder.ts';
import { randomBytes, without } from '../../support/damage.ts';
import { referenceAudio } from '../../support/lossy.ts';
import { joined } from '../ogg/ogg-file.ts';

const tone = referenceAudio('tone.mp3');
const FRAME = 216;

function find(file: Uint8Array, piece = file.length) {
  const finder = new MpegFrameFinder();
  const frames: { bytes: number; skipped: number; head: number[] }[] = [];
  const keep: Parameters<typeof finder.push>[1] = ({ frame, skipped, skippedHead }) =>
    frames.push({ bytes: frame.length, skipped, head: [...skippedHead] });
  for (let at = 0; at < file.length; at += piece) finder.push(file.subarray(at, at + piece), keep);
  finder.end(keep);
  return { frames, tail: finder.tail.bytes, form: finder.form };
}

describe('MpegFrameFinder', () => {
  it('finds every frame of a file, from pieces of any size', () => {
    const { frames, tail } = find(tone);
    expect(frames).toHaveLength(tone.length / FRAME);
    expect(frames.every(({ bytes, skipped }) => bytes === FRAME && skipped === 0)).toBe(true);
    expect(tail).toBe(0);
    for (const piece of [1, 3, FRAME, 1000, 100_000]) expect(find(tone, piece)).toEqual(find(tone));
  });

  it('passes over what stands before, between and behind frames', () => {
    const parts = [randomBytes(500, 1), tone.subarray(0, 20 * FRAME), randomBytes(333, 2), tone.subarray(20 * FRAME)];
    const { frames, tail } = find(joined(...parts, randomBytes(100, 3)), 700);
    expect(frames).toHaveLength(tone.length / FRAME);
    expect(frames[0].skipped).toBe(500);
    expect(frames[20]).toEqual({ bytes: FRAME, skipped: 333, head: [...randomBytes(333, 2).subarray(0, 12)] });
    expect(tail).toBe(100);
  });

  it('comes into step again behind a frame that lost bytes', () => {
    const { frames } = find(without(tone, 10 * FRAME + 50, 10 * FRAME + 60), 100);
    expect(frames).toHaveLength(tone.length / FRAME - 1);
    expect(frames[11]).toMatchObject({ skipped: FRAME - 10 });
  });

  it('leaves the begun last frame in the tail', () => {
    expect(find(tone.subarray(0, tone.length - 1))).toMatchObject({ tail: FRAME - 1 });
  });

  it('finds no stream in random bytes', () => {
    expect(find(randomBytes(3_000_000, 4), 65_536)).toMatchObject({ frames: [], form: null });
  });
});

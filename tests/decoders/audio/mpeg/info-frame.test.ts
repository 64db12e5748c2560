import { describe, expect, it } from 'vitest';
import { type MpegFrameHeader, parseMpegHeader } from '../../../../decoders/audio/mpeg/frame-header.ts';
import { readMpegInfo } from '../../../../decoders/audio/mpeg/info-frame.ts';
import { referenceAudio } from '../../support/lossy.ts';

function firstFrame(name: string): { frame: Uint8Array; header: MpegFrameHeader } {
  const file = referenceAudio(name);
  const header = parseMpegHeader(file, 0);
  if (header === null) throw new Error('no frame');
  return { frame: file.subarray(0, header.bytes), header };
}

describe('readMpegInfo', () => {
  it.each([
    // lame adds 576 samples and fills up whole frames; a decoder adds 529 in front.
    ['tone.mp3', 86, 1105, 86 * 576 - 48_000 - 1105],
    ['two-tones.mp3', 78, 1105, 78 * 1152 - 88_200 - 1105],
  ])('reads what lame wrote into %s', (name, frames, before, behind) => {
    const { frame, header } = firstFrame(name);
    expect(readMpegInfo(frame, header)).toEqual({ frames, padding: { before, behind } });
  });

  it('takes sound for sound', () => {
    const { frame, header } = firstFrame('tone.mp3');
    const second = referenceAudio('tone.mp3').subarray(frame.length, 2 * frame.length);
    expect(readMpegInfo(second, header)).toBeNull();
  });

  it('takes what stands there of a frame that ends early or names no encoder', () => {
    const { frame, header } = firstFrame('tone.mp3');
    expect(readMpegInfo(frame.subarray(0, 30), header)).toEqual({ frames: 86, padding: null });
    expect(readMpegInfo(frame.subarray(0, 19), header)).toEqual({ frames: null, padding: null });
    const unnamed = frame.slice();
    unnamed.fill(0x20, 133, 142);
    expect(readMpegInfo(unnamed, header)).toEqual({ frames: 86, padding: null });
  });
});

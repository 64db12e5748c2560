import { describe, expect, it } from 'vitest';
import { type MpegFrameHeader, parseMpegHeader } from '../../../../decoders/audio/mpeg/frame-header.ts';
import { beginsStream, readMpegInfo } from '../../../../decoders/audio/mpeg/info-frame.ts';
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

describe('beginsStream', () => {
  it.each(['tone.mp3', 'two-tones.mp3'])('knows the description of %s among frames of sound', (name) => {
    const { frame, header } = firstFrame(name);
    expect(beginsStream(frame, header)).toBe(true);
    const next = referenceAudio(name).subarray(frame.length);
    const second = parseMpegHeader(next, 0) ?? expect.fail('no frame');
    expect(beginsStream(next.subarray(0, second.bytes), second)).toBe(false);
  });

  it('takes sound that spells the word by chance for sound', () => {
    const { frame, header } = firstFrame('tone.mp3');
    const word = frame.findIndex((_, i) => ['Xing', 'Info'].includes(String.fromCharCode(...frame.subarray(i, i + 4))));
    const sound = frame.slice();
    sound[word + 5] = 0x71;
    expect([readMpegInfo(sound, header) === null, beginsStream(sound, header)]).toEqual([false, false]);
    const vbri = frame.slice().fill(0, 4, 60);
    for (const version of [1, 0x5555]) {
      vbri.set([...'VBRI'].map((letter) => letter.charCodeAt(0)).concat(version >> 8, version & 255), 36);
      expect(beginsStream(vbri, header)).toBe(version === 1);
    }
  });
});

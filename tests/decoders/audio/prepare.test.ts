import { expect, it } from 'vitest';
import { prepareAudio } from '../../../decoders/audio/prepare.ts';
import { referenceAudio } from '../support/lossy.ts';
import { bytes, u32 } from './wav-file.ts';

it('loads what the first bytes ask for, and nothing else', async () => {
  const { opus, ...others } = await prepareAudio(referenceAudio('tone.opus').subarray(0, 100));
  expect(opus?.channels).toBe(1);
  expect(others).toEqual({});
  opus?.free();
  expect((await prepareAudio(referenceAudio('two-tones.opus'))).opus?.channels).toBe(2);
  expect(Object.keys(await prepareAudio(referenceAudio('tone.ogg')))).toEqual(['vorbis']);
  expect(Object.keys(await prepareAudio(referenceAudio('tone.mp3')))).toEqual(['mpeg']);
  expect(Object.keys(await prepareAudio(bytes('ID3', [4, 0, 0, 0, 0, 0x7f, 0x7f])))).toEqual(['mpeg']);
});

it.each([
  ['WAV', bytes('RIFF', u32(100), 'WAVEfmt OpusHead')],
  ['no bytes', new Uint8Array()],
  ['a header that is cut off', bytes('OggS', [0, 2], new Uint8Array(21), 'OpusH')],
])('loads nothing for %s', async (_, first) => {
  expect(await prepareAudio(first)).toEqual({});
});

it('gives a decoder that holds its tongue about bytes that are no Opus', async () => {
  const { opus } = await prepareAudio(referenceAudio('tone.opus'));
  expect(opus?.decode(new Uint8Array(5000))).toBeNull();
  opus?.free();
  opus?.free();
  expect(opus?.decode(Uint8Array.of(0x98, 1, 2, 3))).toBeNull();
});

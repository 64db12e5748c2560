import { expect, it } from 'vitest';
import { phoneContainer } from '../../../decoders/audio/phone-container.ts';
import { bytes, u32 } from '../../decoders/audio/wav-file.ts';

it.each([
  ['mov', bytes([0, 0, 0, 32], 'ftypM4A ')],
  ['mov', bytes([0, 0, 0, 24], 'ftyp3gp4')],
  ['matroska', bytes([0x1a, 0x45, 0xdf, 0xa3], new Uint8Array(8))],
  ['amr', bytes('#!AMR\nxxxxxx')],
  ['aac', bytes([0xff, 0xf1, 0x50, 0x80], new Uint8Array(8))],
  ['avi', bytes('RIFF', u32(99), 'AVI LIST')],
])('%s by its content', (demuxer, first) => {
  expect(phoneContainer(first)?.demuxer).toBe(demuxer);
});

it.each([
  ['WAV', bytes('RIFF', u32(99), 'WAVEfmt ')],
  ['Ogg', bytes('OggS', new Uint8Array(8))],
  ['MP3', bytes([0xff, 0xfb, 0x90, 0x64], new Uint8Array(8))],
  ['a playlist, which would name other files', bytes('#EXTM3U\nhttp')],
  ['text', bytes('ffconcat version 1.0')],
  ['nothing', new Uint8Array()],
])('leaves %s alone', (_, first) => {
  expect(phoneContainer(first)).toBeNull();
});

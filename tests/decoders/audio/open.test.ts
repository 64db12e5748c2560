import { describe, expect, it } from 'vitest';
import { AiffReader } from '../../../decoders/audio/aiff.ts';
import { FlacReader } from '../../../decoders/audio/flac.ts';
import { OggReader } from '../../../decoders/audio/ogg/ogg.ts';
import { openAudio, RecordingReader, SIGNATURE_BYTES } from '../../../decoders/audio/open.ts';
import { WavReader } from '../../../decoders/audio/wav.ts';
import reference from '../../reference/audio.json';
import { bytes, chunk, fmt, fromHex, readAll, riff, u32 } from './wav-file.ts';

const wav = riff(fmt(), chunk('data', [0, 0, 0, 64, 0, 192, 5, 0]));

describe('openAudio', () => {
  it('knows Ogg by its content', () => {
    expect(openAudio(fromHex(reference.ogg_opus_page_example.hex))).toBeInstanceOf(OggReader);
  });

  it('knows WAV by its content', () => {
    expect(openAudio(wav)).toBeInstanceOf(WavReader);
    expect(openAudio(fromHex(reference.rf64_header_example_hex))).toBeInstanceOf(WavReader);
    expect(openAudio(bytes('BW64', u32(0xffffffff), 'WAVE'))).toBeInstanceOf(WavReader);
  });

  it('knows AIFF and FLAC by their content', () => {
    for (const form of ['AIFF', 'AIFC']) {
      expect(openAudio(bytes('FORM', [0, 0, 1, 0], form, 'COMM'))).toBeInstanceOf(AiffReader);
    }
    expect(openAudio(fromHex(reference.flac_examples[0].first_42_bytes_hex))).toBeInstanceOf(FlacReader);
  });

  it.each([
    ['AAC', bytes([0xff, 0xf1, 0x50, 0x80], new Uint8Array(20))],
    ['M4A', bytes([0, 0, 0, 32], 'ftypM4A ', new Uint8Array(20))],
    ['AVI', bytes('RIFF', u32(100), 'AVI LIST')],
    ['WebM', bytes([0x1a, 0x45, 0xdf, 0xa3], new Uint8Array(20))],
  ])('names %s and says to convert it', (name, first) => {
    expect(() => openAudio(first)).toThrow(expect.objectContaining({ name: 'AudioError', code: 'unread-container' }));
    expect(() => openAudio(first)).toThrow(name);
    expect(() => openAudio(first)).toThrow(/Convert it to WAV/);
  });

  it.each([
    ['text', bytes('Q0DUN P 00042 7921')],
    ['a PDF document', bytes('%PDF-1.7 and so on')],
    ['a JPEG picture', bytes([0xff, 0xd8, 0xff, 0xe0], new Uint8Array(20))],
    ['of no known kind', new Uint8Array(100)],
    ['of no known kind', bytes('RIFF', u32(100), [1, 2, 3, 4])],
    ['text', bytes('RIFF')],
  ])('says of what is no recording that it is %s', (name, first) => {
    expect(() => openAudio(first)).toThrow(expect.objectContaining({ name: 'AudioError', code: 'not-a-recording' }));
    expect(() => openAudio(first)).toThrow(name);
  });

  it('says of an empty file that it is empty', () => {
    expect(() => openAudio(new Uint8Array())).toThrow(expect.objectContaining({ code: 'empty-file' }));
  });
});

describe('RecordingReader', () => {
  it('reads what the reader of the container reads, from any pieces', () => {
    for (const piece of [1, 5, 12, 13, 1000]) {
      expect(readAll(wav, [piece], new RecordingReader())).toEqual(readAll(wav));
    }
  });

  it.each([0, 1, 2, 3, 300])('passes over an ID3 tag with %d bytes of content', (size) => {
    const tag = bytes('ID3', [4, 0, 0, 0, 0, size >> 7, size & 127], new Uint8Array(size).fill(0xff));
    for (const piece of [1, 7, 1000]) {
      expect(readAll(bytes(tag, tag, wav), [piece], new RecordingReader())).toEqual(readAll(wav));
      expect(() =>
        readAll(bytes(tag, [0xff, 0xfb, 0x90, 0x64], new Uint8Array(20)), [piece], new RecordingReader()),
      ).toThrow('MP3');
    }
  });

  it('refuses short and empty files at their end, foreign ones at once', () => {
    const code = (expected: string) => expect.objectContaining({ name: 'AudioError', code: expected });
    expect(() => readAll(new Uint8Array(), [1], new RecordingReader())).toThrow(code('empty-file'));
    expect(() => readAll(bytes('RIFF'), [1], new RecordingReader())).toThrow(code('not-a-recording'));
    const reader = new RecordingReader();
    expect(reader.info).toBeNull();
    expect(reader.problems).toEqual([]);
    expect(() => reader.push(bytes('RIFX and much more', new Uint8Array(SIGNATURE_BYTES)), () => {})).toThrow(
      code('unread-container'),
    );
    expect(() => reader.end(() => {})).toThrow(code('unread-container'));
  });
});

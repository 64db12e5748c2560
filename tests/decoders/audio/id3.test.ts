import { describe, expect, it } from 'vitest';
import { id3Bytes } from '../../../decoders/audio/id3.ts';
import { bytes } from './wav-file.ts';

describe('id3Bytes', () => {
  it('counts header, content in seven bits a byte, and footer (id3.org, ID3v2.4.0 section 3)', () => {
    expect(id3Bytes(bytes('ID3', [3, 0, 0, 0, 0, 2, 1]))).toBe(10 + 257);
    expect(id3Bytes(bytes('ID3', [4, 0, 0x10, 0x7f, 0x7f, 0x7f, 0x7f]))).toBe(20 + 2 ** 28 - 1);
  });

  it('is 0 of what is no such tag', () => {
    expect(id3Bytes(bytes('ID3', [3, 0, 0, 0, 0, 0x80, 1]))).toBe(0);
    expect(id3Bytes(bytes('ID4', [3, 0, 0, 0, 0, 2, 1]))).toBe(0);
    expect(id3Bytes(bytes('ID3', [3, 0, 0, 0, 0, 2]))).toBe(0);
  });
});

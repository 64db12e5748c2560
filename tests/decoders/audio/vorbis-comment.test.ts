import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { packVorbisComments, parseVorbisComments, saySimulated } from '../../../decoders/audio/vorbis-comment.ts';
import { bytes, fromHex, u32 } from './wav-file.ts';

describe('Vorbis comments', () => {
  it('are read as in example 2 of RFC 9639, appendix D.2 (bytes from memory)', () => {
    const block = fromHex(
      '20000000' +
        '7265666572656e6365206c6962464c414320312e332e332032303139303830340100' +
        '00000e0000005449544c453dd7a9d79cd795d79d',
    );
    expect(parseVorbisComments(block)).toEqual([{ name: 'TITLE', value: 'שלום' }]);
  });

  it('come back as written, names in upper case', () => {
    const comments = [
      { name: 'DATE', value: '2031-04-05T06:07:08Z' },
      { name: 'COMMENT', value: 'a=b, 12 °C' },
      { name: 'COMMENT', value: '' },
    ];
    expect(parseVorbisComments(packVorbisComments('fiveunit', comments))).toEqual(comments);
    expect(parseVorbisComments(packVorbisComments('', [{ name: 'date', value: '2031' }]))).toEqual([
      { name: 'DATE', value: '2031' },
    ]);
  });

  it('give what stands whole in a body that is cut off or lies about its lengths', () => {
    const body = packVorbisComments('v', [
      { name: 'A', value: '1' },
      { name: 'B', value: '2' },
    ]);
    expect(parseVorbisComments(body.subarray(0, body.length - 1))).toEqual([{ name: 'A', value: '1' }]);
    expect(parseVorbisComments(bytes(u32(0xffffffff), 'v'))).toEqual([]);
    expect(parseVorbisComments(bytes(u32(0), u32(0xffffffff), u32(3), 'A=1', u32(0xffffffff)))).toEqual([
      { name: 'A', value: '1' },
    ]);
    expect(parseVorbisComments(bytes(u32(0), u32(2), u32(4), 'none', u32(2), '=1'))).toEqual([]);
    fc.assert(
      fc.property(fc.uint8Array({ maxLength: 60 }), (noise) => {
        parseVorbisComments(noise);
      }),
      { seed: 3 },
    );
  });

  it('say whether a recording was simulated', () => {
    const comments = (name: string, value: string) => parseVorbisComments(packVorbisComments('', [{ name, value }]));
    expect(saySimulated(comments('Comment', 'Simulated by fiveunit: Dunlin-1'))).toBe(true);
    expect(saySimulated(comments('DESCRIPTION', 'Simulated by fiveunit'))).toBe(true);
    expect(saySimulated(comments('COMMENT', 'not Simulated by fiveunit'))).toBe(false);
    expect(saySimulated(comments('TITLE', 'Simulated by fiveunit'))).toBe(false);
  });
});

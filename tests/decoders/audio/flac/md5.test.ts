import { createHash } from 'node:crypto';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { Md5 } from '../../../../decoders/audio/flac/md5.ts';

const hex = (...parts: readonly Uint8Array[]): string => {
  const md5 = new Md5();
  for (const part of parts) md5.add(part);
  return Buffer.from(md5.end()).toString('hex');
};

describe('Md5', () => {
  // RFC 1321, appendix A.5.
  it.each([
    ['', 'd41d8cd98f00b204e9800998ecf8427e'],
    ['a', '0cc175b9c0f1b6a831c399e269772661'],
    ['abc', '900150983cd24fb0d6963f7d28e17f72'],
    ['message digest', 'f96b697d7cb7938d525a2f31aaf161d0'],
    ['abcdefghijklmnopqrstuvwxyz', 'c3fcd3d76192e4007dfb496cca67e13b'],
  ])('of "%s" is that of the standard', (text, digest) => {
    expect(hex(Buffer.from(text))).toBe(digest);
  });

  it('is that of another program, whatever the bytes and the pieces they come in', () => {
    fc.assert(
      fc.property(fc.array(fc.uint8Array({ maxLength: 200 }), { maxLength: 6 }), (parts) => {
        expect(hex(...parts)).toBe(createHash('md5').update(Buffer.concat(parts)).digest('hex'));
      }),
      { numRuns: 500, seed: 1 },
    );
  });
});

import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { isTar, TarReader } from '../../../../decoders/audio/sigmf/tar.ts';
import { decodeUtf8 } from '../../../../decoders/audio/utf8.ts';
import { AudioError } from '../../../../decoders/errors.ts';
import { tarOf } from './sigmf-file.ts';

function filesOf(archive: Uint8Array, piece = archive.length): Record<string, string> {
  const files: Record<string, string> = {};
  let name = '';
  const reader = new TarReader({
    begin: (entry) => {
      name = entry.name;
      files[name] = '';
    },
    data: (bytes) => {
      files[name] += decodeUtf8(bytes);
    },
    finish: () => {
      files[name] += '|';
    },
  });
  for (let at = 0; at < archive.length; at += piece) reader.push(archive.subarray(at, at + piece));
  return files;
}

const code = (expected: string) => expect.objectContaining({ name: 'AudioError', code: expected });

describe('a tar archive', () => {
  const archive = tarOf(
    { name: 'a/', type: '5' },
    { name: 'a/x', body: 'hello' },
    { name: 'a/empty' },
    { name: 'b', body: 'y'.repeat(1025) },
  );

  it('gives its files in pieces of any size', () => {
    expect(isTar(archive)).toBe(true);
    for (const piece of [archive.length, 1, 511, 512, 700]) {
      expect(filesOf(archive, piece)).toEqual({ 'a/x': 'hello|', 'a/empty': '|', b: `${'y'.repeat(1025)}|` });
    }
  });

  it('gives long names as GNU and pax write them', () => {
    const long = `${'d'.repeat(90)}/${'f'.repeat(90)}`;
    const gnu = tarOf({ name: '././@LongLink', type: 'L', body: `${long}\0` }, { name: 'short', body: 'g' });
    expect(filesOf(gnu)).toEqual({ [long]: 'g|' });
    const record = `path=${long}\n`;
    const length = record.length + 4;
    const pax = tarOf({ name: 'p', type: 'x', body: `${length} ${record}` }, { name: 'short', body: 'p' });
    expect(filesOf(pax)).toEqual({ [long]: 'p|' });
  });

  it.each(['/etc/x', '../x', 'a/../../x', 'a\\x', 'C:x', ''])('refuses the path %j', (name) => {
    expect(() => filesOf(tarOf({ name, body: 'z' }))).toThrow(code('tar-unsafe-path'));
  });

  it('refuses a path that leads out by way of an extended header', () => {
    const record = 'path=../x\n';
    const pax = tarOf({ name: 'p', type: 'x', body: `${record.length + 3} ${record}` }, { name: 'x', body: 'p' });
    expect(() => filesOf(pax)).toThrow(code('tar-unsafe-path'));
  });

  it.each(['1', '2', '3', '4', '6', 'K', 'S', 'Z'])('refuses an entry of type %s', (type) => {
    expect(() => filesOf(tarOf({ name: 'x', type }))).toThrow(code('tar-unsafe-entry'));
  });

  it('refuses endless entries and endless headers', () => {
    const many = tarOf(...Array.from({ length: 1001 }, (_, i) => ({ name: `f${i}` })));
    expect(() => filesOf(many)).toThrow(code('tar-too-many-entries'));
    expect(() => filesOf(tarOf({ name: 'x', type: 'x', size: 2 ** 30 }))).toThrow(code('tar-unsafe-entry'));
  });

  it('says that a header that does not add up is damaged', () => {
    const damaged = archive.slice();
    damaged[512] ^= 1;
    expect(() => filesOf(damaged)).toThrow(code('tar-damaged'));
  });

  it('survives any damage and any cut with its own errors alone', () => {
    const at = fc.nat(archive.length - 1);
    fc.assert(
      fc.property(
        fc.array(fc.tuple(at, fc.nat(255)), { maxLength: 40 }),
        at,
        fc.integer({ min: 1, max: 3000 }),
        (changes, end, piece) => {
          const damaged = archive.slice(0, end);
          for (const [place, byte] of changes) if (place < end) damaged[place] = byte;
          try {
            filesOf(damaged, piece);
          } catch (error) {
            expect(error).toBeInstanceOf(AudioError);
          }
        },
      ),
    );
  });
});

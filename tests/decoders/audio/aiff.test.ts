import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { AiffReader } from '../../../decoders/audio/aiff.ts';
import { RecordingReader } from '../../../decoders/audio/open.ts';
import { AudioError } from '../../../decoders/errors.ts';
import { flipped, truncations } from '../support/damage.ts';
import { checkFile } from './flac/check-files.ts';
import { bytes, readAll } from './wav-file.ts';

const read = (file: Uint8Array, pieces?: readonly number[]) => readAll(file, pieces, new AiffReader());
const codes = (result: { problems: readonly { code: string }[] }): string[] => result.problems.map((p) => p.code);
const refuses = (code: string) => expect.objectContaining({ name: 'AudioError', code });

const be16 = (x: number): number[] => [(x >> 8) & 255, x & 255];
const be32 = (x: number): number[] => [...be16(x >>> 16), ...be16(x & 0xffff)];
const chunk = (id: string, body: Uint8Array | readonly number[], size = body.length): Uint8Array =>
  bytes(id, be32(size), body, body.length % 2 === 1 ? [0] : []);

/** 8000 as a number of 80 bits, as sox wrote it. */
const RATE_8000 = [0x40, 0x0b, 0xfa, 0, 0, 0, 0, 0, 0, 0];

function comm({ channels = 1, bits = 16, rate = RATE_8000, type = '' } = {}): Uint8Array {
  const compression = type === '' ? [] : bytes(type, [0, 0]);
  return chunk('COMM', bytes(be16(channels), be32(0), be16(bits), rate, compression));
}

function form(type: string, ...chunks: readonly Uint8Array[]): Uint8Array {
  const body = bytes(type, ...chunks);
  return bytes('FORM', be32(body.length), body);
}

const ssnd = (samples: readonly number[], offset: readonly number[] = []): Uint8Array =>
  chunk('SSND', bytes(be32(offset.length), be32(0), offset, samples));

const some = [0, 16384, -16384, 100, -32768, 32767, 1, -1];
const data = some.flatMap((x) => be16(x & 0xffff));
const expected = some.map((x) => x / 32768);

describe('AiffReader: files other programs wrote', () => {
  it.each([
    ['mono16.aiff', 'mono16.wav', 'aiff pcm 16'],
    ['stereo24.aiff', 'stereo24.wav', 'aiff pcm 24'],
    ['six8.aiff', 'six8.wav', 'aiff pcm 8'],
    ['stereo32.aifc', 'stereo32.wav', 'aiff pcm 32'],
    ['mono16-sowt.aifc', 'mono16.wav', 'aiff pcm 16'],
    ['mono16-fl32.aifc', 'mono16-fl32.wav', 'aiff float 32'],
    ['mono16-alaw.aifc', 'mono16-alaw.wav', 'aiff a-law'],
    ['mono16-ulaw.aifc', 'mono16-ulaw.wav', 'aiff mu-law'],
  ])('%s gives the same blocks as %s', (aiff, wav, encoding) => {
    const original = readAll(checkFile(wav));
    const result = readAll(checkFile(aiff), [5000], new RecordingReader());
    expect(result.info).toMatchObject({ encoding, sampleRateHz: original.info?.sampleRateHz });
    expect(result.info?.statedFrames).toBe(original.info?.statedFrames);
    expect(result.channels).toEqual(original.channels);
    expect(result.blockFrames).toEqual(original.blockFrames);
    expect(result.problems).toEqual(original.problems);
  });
});

describe('AiffReader: samples', () => {
  it('stand before their format, too, as chunks come in any order', () => {
    const usual = read(form('AIFF', comm(), ssnd(data)));
    const swapped = form('AIFF', ssnd(data, [9, 9, 9]), chunk('NAME', bytes('test')), comm());
    for (const pieces of [[swapped.length], [1], [7, 30]]) expect(read(swapped, pieces)).toEqual(usual);
    expect(read(form('AIFF', ssnd(data), comm(), ssnd(data))).problems).toContainEqual(
      expect.objectContaining({ code: 'second-sample-chunk' }),
    );
    // Samples are not read from the middle of such a file.
    const reader = new AiffReader();
    reader.push(swapped, () => {});
    expect([reader.info?.sampleRateHz, reader.frameBytes]).toEqual([8000, undefined]);
  });

  it('before their format in a file that is cut short there cannot be read', () => {
    const swapped = form('AIFF', ssnd(data), comm());
    for (const file of [swapped.subarray(0, 40), swapped.subarray(0, swapped.length - 3)]) {
      expect(() => read(file)).toThrow(refuses('aiff-no-format'));
    }
  });

  it('16 bits, channels one after another', () => {
    const result = read(form('AIFF', comm({ channels: 2 }), ssnd(data)));
    expect(result.channels[0]).toEqual(expected.filter((_, i) => i % 2 === 0));
    expect(result.channels[1]).toEqual(expected.filter((_, i) => i % 2 === 1));
    expect(result.problems).toEqual([]);
  });

  it('fewer bits than their bytes stand at the top', () => {
    expect(read(form('AIFF', comm({ bits: 12 }), ssnd([0x40, 0, 0x80, 0]))).channels[0]).toEqual([0.5, -1]);
    expect(read(form('AIFF', comm({ bits: 20 }), ssnd([0x40, 0, 0, 0, 0, 16]))).channels[0]).toEqual([0.5, 2 ** -19]);
  });

  it.each([
    ['NONE', 16, [0x40, 0], 0.5],
    ['twos', 16, [0x40, 0], 0.5],
    ['sowt', 16, [0, 0x40], 0.5],
    ['raw ', 8, [192], 0.5],
    ['in24', 16, [0xc0, 0, 0], -0.5],
    ['in32', 16, [0xc0, 0, 0, 0], -0.5],
    ['42ni', 16, [0, 0, 0xc0], -0.5],
    ['23ni', 16, [0, 0, 0, 0xc0], -0.5],
    ['fl32', 32, [0x3e, 0x80, 0, 0], 0.25],
    ['FL64', 64, [0xbf, 0xe0, 0, 0, 0, 0, 0, 0], -0.5],
    ['alaw', 16, [0x2a], -32256 / 32768],
    ['ULAW', 16, [0x2a], -5372 / 32768],
  ])('compression type %s', (type, bits, sample, value) => {
    const result = read(form('AIFC', comm({ bits, type }), ssnd(sample)));
    expect(result.channels[0]).toEqual([value]);
  });

  it.each([
    [[0x40, 0x0c, 0xac, 0x44, 0, 0, 0, 0, 0, 0], 11_025],
    [[0x40, 0x0e, 0xac, 0x44, 0, 0, 0, 0, 0, 0], 44_100],
    [[0x40, 0x0e, 0xbb, 0x80, 0, 0, 0, 0, 0, 0], 48_000],
    [[0x40, 0x0d, 0xad, 0xdd, 0x17, 0x45, 0xd1, 0x74, 0x5d, 0x17], 22_254 + 6 / 11],
  ])('rate %j is %d Hz', (rate, hz) => {
    expect(read(form('AIFF', comm({ rate }), ssnd(data))).info?.sampleRateHz).toBeCloseTo(hz, 6);
  });
});

describe('AiffReader: chunks', () => {
  it('skips the offset, unknown and odd chunks', () => {
    const file = form('AIFF', chunk('NAME', [65]), comm(), chunk('abcd', [1, 2, 3]), ssnd(data, [9, 9, 9, 9, 9, 9]));
    const result = read(bytes(file, chunk('AUTH', [66])), [3]);
    expect(result.channels[0]).toEqual(expected);
    expect(result.info?.statedFrames).toBe(8);
    expect(result.problems).toEqual([]);
  });

  it.each([0, 0xffffffff])('reads to the end where the size is %d', (size) => {
    const result = read(form('AIFF', comm(), chunk('SSND', bytes(be32(0), be32(0), data), size)));
    expect(result.channels[0]).toEqual(expected);
    expect(result.info?.statedFrames).toBeNull();
  });

  it('knows what was simulated by its annotation', () => {
    const annotated = (text: string) => read(form('AIFF', comm(), chunk('ANNO', bytes(text)), ssnd(data))).info;
    expect(annotated('Simulated by fiveunit: Dunlin-1')?.simulated).toBe(true);
    expect(annotated('Q0DUN')).not.toHaveProperty('simulated');
  });

  it('says what is wrong', () => {
    const whole = form('AIFF', comm(), ssnd(data));
    expect(codes(read(whole.subarray(0, whole.length - 5)))).toEqual(['cut-short']);
    expect(read(whole.subarray(0, whole.length - 5)).channels[0]).toEqual(expected.slice(0, 5));
    expect(codes(read(bytes(whole, new Uint8Array(20).fill(1))))).toEqual(['trailing-bytes']);
    expect(codes(read(bytes(whole, ssnd(data))))).toEqual(['second-sample-chunk']);
    expect(codes(read(form('AIFF', comm(), ssnd([]))))).toEqual(['no-samples']);
    expect(codes(read(form('AIFF', comm(), ssnd([1, 2, 3, 4], data).fill(255, 8, 12))))).toContain('no-samples');
  });

  it.each([
    ['empty-file', new Uint8Array()],
    ['not-a-recording', bytes('FORM')],
    ['not-a-recording', bytes('FORM', be32(4), '8SVX')],
    ['aiff-no-data', form('AIFF', comm())],
    ['aiff-no-format', form('AIFF', ssnd(data))],
    ['aiff-no-format', form('AIFF', chunk('SSND', bytes(be32(0), be32(0), data), 0xffffffff), comm())],
    ['aiff-format', form('AIFF', chunk('COMM', [0, 1]), ssnd(data))],
    ['aiff-format', form('AIFC', comm(), ssnd(data))],
    ['aiff-encoding', form('AIFC', comm({ type: 'MAC3' }), ssnd(data))],
    ['aiff-bits', form('AIFF', comm({ bits: 33 }), ssnd(data))],
    ['aiff-bits', form('AIFF', comm({ bits: 0 }), ssnd(data))],
    ['channel-count', form('AIFF', comm({ channels: 0 }), ssnd(data))],
    ['sample-rate', form('AIFF', comm({ rate: new Array(10).fill(0) }), ssnd(data))],
    ['sample-rate', form('AIFF', comm({ rate: [0xc0, ...RATE_8000.slice(1)] }), ssnd(data))],
    ['aiff-damaged-header', form('AIFF', comm(), new Uint8Array(20))],
  ])('%s', (code, file) => {
    const reader = new AiffReader();
    expect(() => readAll(file, [7], reader)).toThrow(refuses(code));
    expect(() => reader.end(() => {})).toThrow(refuses(code));
  });

  it('samples that stand before their format are kept up to 32 MiB', () => {
    const pieceBytes = 2 ** 20;
    const length = 33 * pieceBytes;
    const reader = new AiffReader();
    const push = (piece: Uint8Array) => reader.push(piece, () => {});
    push(bytes('FORM', be32(length + 20), 'AIFF', 'SSND', be32(length + 8), be32(0), be32(0)));
    expect(() => {
      for (let at = 0; at < length; at += pieceBytes) push(new Uint8Array(pieceBytes));
      push(comm());
    }).toThrow(refuses('aiff-no-format'));
  });
});

describe('AiffReader: any pieces, any damage', () => {
  const file = checkFile('stereo24.aiff');

  it('gives the same blocks for any pieces', () => {
    const whole = read(file);
    fc.assert(
      fc.property(fc.array(fc.integer({ min: 1, max: 9000 }), { minLength: 1, maxLength: 20 }), (pieces) => {
        expect(read(file, pieces)).toEqual(whole);
      }),
      { numRuns: 10, seed: 1 },
    );
  });

  it('cut short or with one in a hundred bytes wrong: samples or an AudioError', () => {
    const truth = read(file).channels[0];
    for (const cut of truncations(file, 100, 3)) {
      if (cut.length < 84) continue;
      const result = read(cut);
      expect(result.channels[0] ?? []).toEqual(truth.slice(0, result.channels[0]?.length ?? 0));
      expect(codes(result)).toContain('cut-short');
    }
    for (let seed = 0; seed < 100; seed++) {
      for (const damaged of [flipped(file, 0.01, seed), flipped(file.subarray(0, 200), 0.05, seed)]) {
        try {
          read(damaged);
        } catch (error) {
          expect(error).toBeInstanceOf(AudioError);
        }
      }
    }
    for (const cut of truncations(file.subarray(0, 84), 84, 4)) expect(() => read(cut)).toThrow(AudioError);
  });
});

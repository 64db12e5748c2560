import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { BLOCK_FRAMES } from '../../../decoders/audio/block-stream.ts';
import { WavReader } from '../../../decoders/audio/wav.ts';
import { encodeWav } from '../../../decoders/audio/wav-write.ts';
import { AudioError } from '../../../decoders/errors.ts';
import { Random } from '../../../decoders/simulate/random.ts';
import reference from '../../reference/audio.json';
import { bytes, chunk, fmt, fromHex, readAll, riff, u16, u32 } from './wav-file.ts';

const codes = (result: { problems: readonly { code: string }[] }): string[] => result.problems.map((p) => p.code);
const refuses = (code: string) => expect.objectContaining({ name: 'AudioError', code });
const int16 = (...values: number[]): number[] => values.flatMap((x) => u16(x & 0xffff));

/** Samples that are neither silent nor clipped. */
const some = int16(0, 16384, -16384, 100, -32768, 32767, 1, -1);

describe('WavReader: headers other programs wrote (tests/reference/audio.json)', () => {
  const headers = new Map(reference.wav_header_examples_hex.map(({ file, hex }) => [file, fromHex(hex)]));
  const header = (file: string): Uint8Array => headers.get(file) ?? new Uint8Array();

  it('16-bit PCM', () => {
    const samples = Array.from({ length: 80 }, (_, i) => i * 400 - 16000);
    const result = readAll(bytes(header('8000 Hz mono 16-bit PCM, 80 samples'), int16(...samples)));
    expect(result.info).toEqual({
      sampleRateHz: 8000,
      channels: 1,
      encoding: 'wav pcm 16',
      statedFrames: 80,
      startedAt: null,
    });
    expect(result.channels[0]).toEqual(samples.map((x) => x / 32768));
    expect(result.problems).toEqual([]);
  });

  it('24 bits, extensible', () => {
    const data = chunk('data', [0, 0, 0x40, 0, 0, 0xc0, 1, 0, 0]);
    const fact = chunk('fact', u32(3));
    const result = readAll(bytes(header('8000 Hz mono 24-bit, extensible'), fact, data));
    expect(result.info?.encoding).toBe('wav pcm 24');
    expect(result.channels[0]).toEqual([0.5, -0.5, 2 ** -23]);
  });

  it.each([
    ['8000 Hz mono float32', 'wav float 32', [...new Uint8Array(Float32Array.of(0.25, -1.5).buffer)], [0.25, -1.5]],
    ['8000 Hz mono A-law', 'wav a-law', [0x55, 0x2a], [-8 / 32768, -32256 / 32768]],
    ['8000 Hz mono mu-law', 'wav mu-law', [0x2a, 0x00], [-5372 / 32768, -32124 / 32768]],
  ])('%s', (file, encoding, data, samples) => {
    const result = readAll(bytes(header(file), chunk('fact', u32(2)), chunk('data', data)));
    expect(result.info?.encoding).toBe(encoding);
    expect(result.channels[0]).toEqual(samples);
  });

  it('RF64 (EBU Tech 3306)', () => {
    // The example states a data size of 160 bytes, 80 samples, and ends within its fmt chunk.
    const file = bytes(
      fromHex(reference.rf64_header_example_hex),
      fmt().subarray(8),
      'data',
      u32(0xffffffff),
      new Uint8Array(160).map((_, i) => i),
      chunk('LIST', bytes('INFO')),
    );
    const result = readAll(file);
    expect(result.info?.statedFrames).toBe(80);
    expect(result.channels[0].length).toBe(80);
    expect(result.problems).toEqual([]);
  });
});

describe('WavReader: sample formats', () => {
  it('8 bits are unsigned about 128', () => {
    const result = readAll(riff(fmt({ bits: 8 }), chunk('data', [0, 128, 192, 255])));
    expect(result.channels[0]).toEqual([-1, 0, 0.5, 127 / 128]);
  });

  it('32 bits and 64-bit float', () => {
    const wide = readAll(riff(fmt({ bits: 32 }), chunk('data', [...u32(0x40000000), ...u32(0x80000000)])));
    expect(wide.channels[0]).toEqual([0.5, -1]);
    const data = new Uint8Array(Float64Array.of(0.75, -0.125).buffer);
    expect(readAll(riff(fmt({ tag: 3, bits: 64 }), chunk('data', data))).channels[0]).toEqual([0.75, -0.125]);
  });

  it('fewer bits than the container stand at its top', () => {
    const result = readAll(riff(fmt({ bits: 12, align: 2 }), chunk('data', int16(0x4000, -0x8000))));
    expect(result.channels[0]).toEqual([0.5, -1]);
  });

  it('takes the channels apart', () => {
    const result = readAll(riff(fmt({ channels: 3 }), chunk('data', int16(1, 2, 3, 4, 5, 6))));
    expect(result.channels.map((c) => c.map((x) => x * 32768))).toEqual([
      [1, 4],
      [2, 5],
      [3, 6],
    ]);
  });

  it('takes NaN, infinity and absurd floats as 0 and says where they began', () => {
    const samples = new Float32Array(10_000).map((_, i) => Math.sin(i));
    samples.set([Number.NaN, Number.POSITIVE_INFINITY, 1e30], 9000);
    const result = readAll(encodeWav(samples, { sampleRateHz: 8000, format: 'float32' }));
    expect(result.channels[0].slice(9000, 9004)).toEqual([0, 0, 0, samples[9003]]);
    const [problem] = result.problems;
    expect(problem.code).toBe('not-finite');
    expect(problem.message).toContain('3 sample values');
    expect(problem.atSeconds).toBeCloseTo(8192 / 8000, 6);
  });
});

describe('WavReader: chunks', () => {
  const data = chunk('data', some);

  it('skips unknown chunks, odd ones with their pad byte', () => {
    const result = readAll(riff(chunk('JUNK', [1, 2, 3]), fmt(), chunk('abcd', [5]), data, chunk('tail', [1])));
    expect(result.channels[0].length).toBe(8);
    expect(result.problems).toEqual([]);
  });

  it('bears a forgotten pad byte', () => {
    const unpadded = bytes('note', u32(3), [1, 2, 3]);
    expect(readAll(riff(fmt(), unpadded, data)).channels[0].length).toBe(8);
  });

  it('holds no more than a few kilobytes of a chunk, whatever size it states', () => {
    const file = riff(fmt(), chunk('LIST', new Uint8Array(100_000)), chunk('bext', new Uint8Array(50_000)), data);
    expect(readAll(file).channels[0].length).toBe(8);
    // 4 GB claimed: nothing is reserved for it, the file simply ends.
    const hostile = bytes('RIFF', u32(0xffffffff), 'WAVE', chunk('LIST', some, 0xfffffff0));
    expect(() => readAll(hostile)).toThrow(refuses('wav-no-data'));
  });

  it.each([0, 0xffffffff])('reads to the end of the file where the data size is %d (common practice)', (size) => {
    const file = bytes('RIFF', u32(size), 'WAVE', fmt(), chunk('data', some, size));
    const result = readAll(file);
    expect(result.channels[0].length).toBe(8);
    expect(result.info?.statedFrames).toBeNull();
    expect(result.problems).toEqual([]);
  });

  it('reads to the end where a killed recorder left a size of the header alone', () => {
    const file = bytes('RIFF', u32(36), 'WAVE', fmt(), chunk('data', some, 0));
    expect(readAll(file).channels[0].length).toBe(8);
  });

  it.each([0, 0xffffffff])(
    'reads an RF64 file to its end where the 64 bits of its sizes were never filled in: %d',
    (half) => {
      const ds64 = chunk('ds64', [half, half, half, half, 0, 0].flatMap(u32).concat(u32(0)));
      const file = bytes('RF64', u32(0xffffffff), 'WAVE', ds64, fmt(), chunk('data', some, 0xffffffff));
      const result = readAll(file);
      expect(result.channels[0].length).toBe(8);
      expect(result.info?.statedFrames).toBeNull();
      expect(result.problems).toEqual([]);
    },
  );

  it('believes the sizes that a pipe writer states no more than their end', () => {
    // Header of sox 14.4.2 writing to a pipe.
    const file = bytes('RIFF', u32(0x7ffff024), 'WAVE', fmt(), chunk('data', some, 0x7ffff000));
    const result = readAll(file);
    expect(result.info?.statedFrames).toBeNull();
    expect(result.problems).toEqual([]);
  });

  it('believes an empty recording that its header ends properly', () => {
    const result = readAll(riff(fmt(), chunk('data', []), chunk('LIST', bytes('INFO'))));
    expect(result.channels).toEqual([]);
    expect(codes(result)).toEqual(['no-samples']);
  });

  it('reports a file that was cut short, with what it holds', () => {
    const whole = encodeWav(
      new Float32Array(16_000).map((_, i) => Math.sin(i) / 2),
      {
        sampleRateHz: 8000,
        format: 'pcm16',
      },
    );
    const result = readAll(whole.subarray(0, whole.length - 8001));
    expect(result.channels[0].length).toBe(11_999);
    expect(codes(result)).toEqual(['cut-short']);
    expect(result.problems[0].atSeconds).toBeCloseTo(11_999 / 8000, 9);
    expect(result.problems[0].message).toMatch(/states 2\.0 s and holds 1\.5 s/);
  });

  it('reports bytes and samples that follow the recording', () => {
    const garbage = bytes(riff(fmt(), data), new Uint8Array(50).fill(7));
    expect(codes(readAll(garbage))).toEqual(['trailing-bytes']);
    const twice = readAll(riff(fmt(), data, data));
    expect(codes(twice)).toEqual(['second-data-chunk']);
    expect(twice.channels[0].length).toBe(8);
  });
});

describe('WavReader: start of recording', () => {
  const data = chunk('data', some);
  const bext = (date: string, time: string, reference = 0): Uint8Array =>
    chunk('bext', bytes(new Uint8Array(320), date, time, u32(reference), u32(0), new Uint8Array(256)));
  const info = (id: string, text: string): Uint8Array => chunk('LIST', bytes('INFO', chunk(id, bytes(text, [0]))));

  it.each([
    ['2031-04-05', '06:07:08', 0, '2031-04-05T06:07:08.000Z'],
    ['2031:04:05', '06-07-08', 0, '2031-04-05T06:07:08.000Z'],
    // TimeReference counts samples since midnight: it refines the second, unless it is a session's own count.
    ['2031-04-05', '06:07:08', 8000 * (6 * 3600 + 7 * 60 + 8) + 4000, '2031-04-05T06:07:08.500Z'],
    ['2031-04-05', '06:07:08', 8000 * 3600, '2031-04-05T06:07:08.000Z'],
  ])('bext %s %s, time reference %d (EBU Tech 3285)', (date, time, reference_, iso) => {
    const result = readAll(riff(bext(date, time, reference_), fmt(), data));
    expect(result.info?.startedAt).toEqual({ iso, source: 'bext', zoneStated: false });
    expect(result.problems).toEqual([]);
  });

  it.each([
    ['0000-00-00', '00:00:00'],
    ['2031-02-30', '06:07:08'],
    ['2031-04-05', '25:00:00'],
    ['          ', '        '],
  ])('bext %s %s is no time', (date, time) => {
    expect(readAll(riff(fmt(), bext(date, time), data)).info?.startedAt).toBeNull();
  });

  it('reads ICRD with its zone, also from behind the samples, and prefers it to a time without zone', () => {
    const file = riff(bext('2031-04-05', '08:07:08'), fmt(), data, info('ICRD', '2031-04-05T08:07:08.25+02:00'));
    const result = readAll(file);
    expect(result.info?.startedAt).toEqual({ iso: '2031-04-05T06:07:08.250Z', source: 'LIST ICRD' });
    expect(result.problems).toEqual([]);
  });

  it('takes no start from a bare date', () => {
    expect(readAll(riff(fmt(), info('ICRD', '2031-04-05'), data)).info?.startedAt).toBeNull();
  });
});

describe('WavReader: what cannot be read says why', () => {
  const data = chunk('data', some);
  const guid = [0, 0, 0, 0, 0x10, 0, 0x80, 0, 0, 0xaa, 0, 0x38, 0x9b, 0x71];

  it.each([
    ['empty-file', new Uint8Array()],
    ['not-a-recording', bytes('RIFF')],
    ['not-a-recording', bytes('RIFF', u32(4), 'AVI ')],
    ['not-a-recording', bytes('a text that is long enough')],
    ['wav-no-data', riff(fmt())],
    ['wav-no-data', riff()],
    ['wav-no-format', riff(data)],
    ['wav-format', riff(chunk('fmt ', [1, 0, 1, 0]), data)],
    ['wav-damaged-header', riff(fmt(), new Uint8Array(20))],
    ['sample-rate', riff(fmt({ rate: 0 }), data)],
    ['sample-rate', riff(fmt({ rate: 0xffffffff }), data)],
    ['channel-count', riff(fmt({ channels: 0 }), data)],
    ['channel-count', riff(fmt({ channels: 65535 }), data)],
    ['wav-bits', riff(fmt({ bits: 0 }), data)],
    ['wav-bits', riff(fmt({ bits: 64 }), data)],
    ['wav-bits', riff(fmt({ tag: 3, bits: 16 }), data)],
    ['wav-encoding', riff(fmt({ tag: 0xfffe, more: [22, 0, 16, 0, 4, 0, 0, 0, 1, 0, ...guid.with(3, 9)] }), data)],
  ])('%s', (code, file) => {
    expect(() => readAll(file)).toThrow(refuses(code));
  });

  it('names the encoding it does not read (RFC 2361) and says what to do', () => {
    expect(() => readAll(riff(fmt({ tag: 2 }), data))).toThrow(/Microsoft ADPCM.*Convert/);
    expect(() => readAll(riff(fmt({ tag: 17 }), data))).toThrow(/IMA ADPCM/);
    expect(() => readAll(riff(fmt({ tag: 0x1234 }), data))).toThrow(/tag 0x1234/);
  });

  it('says it again when asked again', () => {
    const reader = new WavReader();
    expect(() => reader.push(bytes('no recording at all'), () => {})).toThrow(refuses('not-a-recording'));
    expect(() => reader.push(riff(fmt(), data), () => {})).toThrow(refuses('not-a-recording'));
    expect(() => reader.end(() => {})).toThrow(refuses('not-a-recording'));
  });
});

describe('WavReader: any pieces, any damage', () => {
  const random = new Random(31);
  const stereo = [0, 1].map(() => Float32Array.from({ length: 2 * BLOCK_FRAMES + 1000 }, () => random.gaussian() / 8));
  const file = encodeWav(stereo, {
    sampleRateHz: 11025,
    format: 'pcm16',
    comment: 'any pieces',
    startedAt: '2031-04-05T06:07:08Z',
  });
  const whole = readAll(file);

  it('gives blocks of one size', () => {
    expect(whole.blockFrames).toEqual([BLOCK_FRAMES, BLOCK_FRAMES, 1000]);
  });

  it('gives the same blocks for any pieces', () => {
    fc.assert(
      fc.property(fc.array(fc.integer({ min: 1, max: 9000 }), { minLength: 1, maxLength: 20 }), (pieces) => {
        expect(readAll(file, pieces)).toEqual(whole);
      }),
      { numRuns: 30, seed: 1 },
    );
    expect(readAll(file.subarray(0, 5000), [1]).channels).toEqual(readAll(file.subarray(0, 5000)).channels);
  });

  it('meets every kind of damage with samples or with an AudioError', () => {
    const small = riff(fmt({ channels: 2 }), chunk('bext', new Uint8Array(400)), chunk('data', some));
    const survives = (damaged: Uint8Array): void => {
      try {
        readAll(damaged);
      } catch (error) {
        expect(error).toBeInstanceOf(AudioError);
      }
    };
    for (let length = 0; length <= small.length; length++) survives(small.subarray(0, length));
    const flip = fc.record({ at: fc.nat(79), bits: fc.integer({ min: 1, max: 255 }) });
    fc.assert(
      fc.property(fc.array(flip, { minLength: 1, maxLength: 6 }), (flips) => {
        const damaged = small.slice();
        for (const { at, bits } of flips) damaged[at] ^= bits;
        survives(damaged);
      }),
      { numRuns: 3000, seed: 2 },
    );
    fc.assert(
      fc.property(fc.uint8Array({ maxLength: 200 }), (noise) =>
        survives(bytes('RIFF', u32(200), 'WAVE', fmt(), noise)),
      ),
      { numRuns: 1000, seed: 3 },
    );
  });
});

describe('marks in a WAV file', () => {
  const second = chunk('data', new Uint8Array(16_000));
  const cue = (...points: readonly (readonly [id: number, sample: number])[]) =>
    chunk('cue ', [
      ...u32(points.length),
      ...points.flatMap(([id, at]) => [...u32(id), ...u32(at), ...bytes('data'), ...u32(0), ...u32(0), ...u32(at)]),
    ]);
  const labels = (...each: readonly (readonly [id: number, text: string])[]) =>
    chunk('LIST', bytes('adtl', ...each.map(([id, text]) => chunk('labl', bytes(u32(id), text, [0])))));
  const gaps = (...behind: Uint8Array[]) =>
    readAll(riff(fmt(), second, ...behind)).problems.filter(({ code }) => code === 'time-gaps');

  it('tell that time is missing where one says so', () => {
    const marks = [cue([1, 2000], [2, 6000], [3, 4000]), labels([1, 'good signal'], [2, 'VOX'], [3, 'paused'])];
    const expected = [expect.objectContaining({ atSeconds: 0.5, message: expect.stringContaining('"paused"') })];
    expect(gaps(...marks)).toEqual(expected);
    expect(gaps(...marks.reverse())).toEqual(expected);
  });

  it('tell nothing by other words, without words, or without a place', () => {
    expect(gaps(cue([1, 2000]), labels([1, 'burst 3, strong']))).toEqual([]);
    expect(gaps(cue([1, 2000]))).toEqual([]);
    expect(gaps(labels([1, 'paused']))).toEqual([]);
  });

  it('never break reading, whatever stands in them', () => {
    fc.assert(
      fc.property(fc.uint8Array({ maxLength: 100 }), fc.uint8Array({ maxLength: 100 }), (points, list) => {
        const { channels } = readAll(riff(fmt(), second, chunk('cue ', points), chunk('LIST', bytes('adtl', list))));
        expect(channels[0]).toHaveLength(8000);
      }),
      { numRuns: 300, seed: 1 },
    );
  });

  it('a recording behind the first is said to be left out', () => {
    const { problems } = readAll(bytes(riff(fmt(), second), riff(fmt(), second)));
    expect(problems.map(({ code }) => code)).toContain('second-recording');
  });
});

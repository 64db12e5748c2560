import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { BLOCK_FRAMES } from '../../../decoders/audio/block-stream.ts';
import { BitWriter } from '../../../decoders/audio/flac/bit-writer.ts';
import { crc8, crc16 } from '../../../decoders/audio/flac/crc.ts';
import { parseFrameHeader } from '../../../decoders/audio/flac/frame-header.ts';
import { FlacReader } from '../../../decoders/audio/flac.ts';
import { encodeFlac } from '../../../decoders/audio/flac-write.ts';
import { RecordingReader } from '../../../decoders/audio/open.ts';
import { leavesGaps } from '../../../decoders/audio/time-gaps.ts';
import { AudioError } from '../../../decoders/errors.ts';
import { Random } from '../../../decoders/simulate/random.ts';
import reference from '../../reference/audio.json';
import { checkFile, firstFrameAt, rfcExample } from './flac/check-files.ts';
import { bytes, readAll } from './wav-file.ts';

const read = (file: Uint8Array, pieces?: readonly number[]) => readAll(file, pieces, new FlacReader());
const codes = (result: { problems: readonly { code: string }[] }): string[] => result.problems.map((p) => p.code);
const refuses = (code: string) => expect.objectContaining({ name: 'AudioError', code });

/** A file of 6000 samples at 8 kHz in frames of 1152, and what it holds. */
const file = checkFile('mono16-0.flac');
const original = readAll(checkFile('mono16.wav')).channels[0];
const FRAME = 1152;
const frameStarts = startsOfFrames(file);

function startsOfFrames(flac: Uint8Array): number[] {
  const starts: number[] = [];
  for (let at = firstFrameAt(flac); at < flac.length; at++) {
    const header = parseFrameHeader(flac, at, flac.length);
    if (header !== null && header !== 'incomplete' && header.number === starts.length) starts.push(at);
  }
  return starts;
}

/** What should be read when some of the frames are lost. */
function withSilence(...lost: readonly number[]): number[] {
  return original.map((x, i) => (lost.includes(Math.floor(i / FRAME)) ? 0 : x));
}

/** The file with one byte changed. */
function altered(at: number, bits = 0x10, flac = file): Uint8Array {
  const copy = flac.slice();
  copy[at] ^= bits;
  return copy;
}

/** A mono 8-bit frame of plain samples at 8 kHz. */
function plainFrame(number: number, samples: readonly number[], isVariable = false): Uint8Array {
  const bits = new BitWriter();
  const size = samples.length - 1;
  const coded = number < 128 ? [number] : [0xe0 | (number >> 12), 0x80 | ((number >> 6) & 63), 0x80 | (number & 63)];
  for (const byte of [0xff, isVariable ? 0xf9 : 0xf8, 0x74, 0x02, ...coded, size >> 8, size & 255]) bits.put(byte, 8);
  bits.put(crc8(bits.bytes, 0, bits.bytes.length), 8);
  bits.put(1 << 1, 8);
  for (const x of samples) bits.put(x, 8);
  bits.put(crc16(bits.bytes, 0, bits.bytes.length), 16);
  return bits.bytes.slice();
}

/** Marker and a STREAMINFO for mono, 8 bits, 8 kHz. */
function streamStart({ least = 16, most = 16, total = 0 } = {}): Uint8Array {
  const rate = [0x01, 0xf4, 0x00, 0x70];
  return bytes(
    'fLaC',
    [0x80, 0, 0, 34, 0, least, 0, most],
    new Uint8Array(6),
    rate,
    [0, 0, 0, total],
    new Uint8Array(16),
  );
}

const ramp = (length: number, from = 0): number[] => Array.from({ length }, (_, i) => ((from + i) % 100) + 1);
const scaled = (samples: readonly number[]): number[] => samples.map((x) => x / 128);

describe('FlacReader: outside files', () => {
  it.each([1, 2, 3])('example %d of RFC 9639, appendix D', (number) => {
    const example = reference.flac_examples[number - 1];
    const result = read(rfcExample(number));
    expect(result.info).toMatchObject({
      sampleRateHz: example.sample_rate,
      channels: example.channels,
      encoding: `flac ${example.bits}`,
      statedFrames: example.total_samples,
      startedAt: null,
    });
    expect(result.channels[0]).toEqual(example.channel_1_samples.map((x) => x / 2 ** (example.bits - 1)));
    expect(codes(result).filter((code) => code !== 'silent')).toEqual([]);
  });

  it('gives out the comments', () => {
    expect(read(rfcExample(2)).info?.comments).toEqual([{ name: 'TITLE', value: 'שלום' }]);
    expect(read(checkFile('mono16-8.flac')).info?.comments).toEqual([
      { name: 'DATE', value: '2031-04-05T06:07:08Z' },
      { name: 'COMMENT', value: 'check file' },
    ]);
    expect(read(rfcExample(1)).info).not.toHaveProperty('comments');
  });

  it.each([
    ['mono16', 'mono16-0', 16],
    ['mono16', 'mono16-8', 16],
    ['stereo24', 'stereo24', 24],
    ['stereo32', 'stereo32', 32],
    ['six8', 'six8', 8],
  ])('%s.wav as %s.flac gives the same blocks', (wav, flac, bits) => {
    const expected = readAll(checkFile(`${wav}.wav`));
    const result = readAll(checkFile(`${flac}.flac`), [5000], new RecordingReader());
    expect(result.channels).toEqual(expected.channels);
    expect(result.blockFrames).toEqual(expected.blockFrames);
    expect(result.info).toMatchObject({ encoding: `flac ${bits}`, statedFrames: expected.channels[0].length });
    expect(result.problems).toEqual(expected.problems);
  });

  it('is found behind an ID3 tag', () => {
    const tagged = bytes('ID3', [3, 0, 0, 0, 0, 1, 0], new Uint8Array(128), file);
    expect(readAll(tagged, [100], new RecordingReader()).channels[0]).toEqual(original);
  });
});

describe('FlacReader: streams of all kinds', () => {
  it('gives the same blocks for any pieces, of a damaged file too', () => {
    for (const given of [file, altered(frameStarts[2] + 500), file.subarray(0, frameStarts[4] + 900)]) {
      const whole = read(given);
      fc.assert(
        fc.property(fc.array(fc.integer({ min: 1, max: 4000 }), { minLength: 1, maxLength: 12 }), (pieces) => {
          expect(read(given, pieces)).toEqual(whole);
        }),
        { numRuns: 15, seed: 1 },
      );
      expect(read(given, [1])).toEqual(whole);
    }
  });

  it('variable block size', () => {
    const frames = [plainFrame(0, ramp(20), true), plainFrame(20, ramp(200), true), plainFrame(220, ramp(35), true)];
    const result = read(bytes(streamStart({ least: 20, most: 200 }), ...frames));
    expect(result.channels[0]).toEqual(scaled([...ramp(20), ...ramp(200), ...ramp(35)]));
    expect(result.info?.statedFrames).toBeNull();
    expect(result.problems).toEqual([]);
    const [first, , last] = frames;
    const holed = read(bytes(streamStart({ least: 20, most: 200 }), first, last));
    expect(holed.channels[0]).toEqual(scaled([...ramp(20), ...new Array(200).fill(0), ...ramp(35)]));
    expect(holed.problems).toMatchObject([{ code: 'damaged', atSeconds: 20 / 8000 }]);
  });

  it('a stream that was joined midway begins with its first frame', () => {
    const frames = [1000, 1001, 1002].map((number) => plainFrame(number, ramp(16, number)));
    const result = read(bytes(streamStart(), ...frames));
    expect(result.channels[0]).toEqual(scaled([1000, 1001, 1002].flatMap((number) => ramp(16, number))));
    expect(result.problems).toEqual([]);
    // Within a frame, too: what is left of it holds no more than one.
    const within = read(bytes(streamStart(), frames[0].subarray(8), ...frames.slice(1)));
    expect(within.channels[0]).toEqual(scaled([1001, 1002].flatMap((number) => ramp(16, number))));
  });

  it('a frame larger than its plain samples', () => {
    const foolish = new BitWriter();
    for (const byte of [0xff, 0xf8, 0x74, 0x02, 0, 0, 199]) foolish.put(byte, 8);
    foolish.put(crc8(foolish.bytes, 0, 7), 8);
    foolish.put(8 << 1, 8);
    foolish.put(0, 10);
    const samples = Int32Array.from({ length: 200 }, (_, i) => (i % 12) - 6);
    foolish.rice(0, samples, 0, 200);
    foolish.align();
    foolish.put(crc16(foolish.bytes, 0, foolish.bytes.length), 16);
    const next = plainFrame(1, ramp(200));
    const result = read(bytes(streamStart({ least: 200, most: 200 }), foolish.bytes, next), [100]);
    expect(result.channels[0]).toEqual(scaled([...samples, ...ramp(200)]));
  });

  it('an empty recording, and one that nobody knows the end of', () => {
    expect(codes(read(streamStart()))).toEqual(['no-samples']);
    expect(read(streamStart()).info).toMatchObject({ sampleRateHz: 8000, channels: 1, encoding: 'flac 8' });
    const open = altered(firstFrameAt(file) - 1, 0, file);
    // The 36 bits of the total begin in the low half of byte 21.
    open.fill(0, 22, 26);
    expect(read(open).info?.statedFrames).toBeNull();
    expect(read(open).channels[0]).toEqual(original);
    expect(read(open).problems).toEqual([]);
  });
});

describe('FlacReader: damage costs its own stretch', () => {
  it('silence stands for a damaged frame, and its place is said', () => {
    for (const frame of [0, 2, 3]) {
      const result = read(altered(frameStarts[frame] + 700));
      expect(result.channels[0]).toEqual(withSilence(frame));
      expect(result.problems).toMatchObject([{ code: 'damaged', atSeconds: (frame * FRAME) / 8000 }]);
    }
    const stretch = `from ${((2 * FRAME) / 8000).toFixed(2)} to ${((3 * FRAME) / 8000).toFixed(2)} s`;
    expect(read(altered(frameStarts[2] + 700)).problems[0].message).toContain(stretch);
  });

  it('a damaged frame header costs no more, nor does a damaged last frame', () => {
    for (let byte = 0; byte < 8; byte++) {
      expect(read(altered(frameStarts[3] + byte)).channels[0]).toEqual(withSilence(3));
    }
    const last = read(altered(file.length - 1));
    expect(last.channels[0]).toEqual(withSilence(5));
    expect(codes(last)).toEqual(['damaged']);
  });

  it('bytes that are gone leave silence too: within frames, and whole frames', () => {
    const within = bytes(file.subarray(0, frameStarts[1] + 300), file.subarray(frameStarts[3] + 200));
    expect(read(within).channels[0]).toEqual(withSilence(1, 2, 3));
    expect(read(within).problems).toMatchObject([{ code: 'damaged', atSeconds: FRAME / 8000 }]);
    const whole = bytes(file.subarray(0, frameStarts[1]), file.subarray(frameStarts[4]));
    expect(read(whole).channels[0]).toEqual(withSilence(1, 2, 3));
  });

  it('bytes that do not belong there cost nothing', () => {
    const random = new Random(5);
    const junk = Uint8Array.from({ length: 20_000 }, () => random.integer(256));
    const result = read(bytes(file.subarray(0, frameStarts[2]), junk, file.subarray(frameStarts[2])));
    expect(result.channels[0]).toEqual(original);
    expect(result.problems).toMatchObject([{ code: 'damaged', atSeconds: (2 * FRAME) / 8000 }]);
    expect(codes(read(bytes(file, 'TAG', new Uint8Array(125))))).toEqual(['trailing-bytes']);
  });

  it('a damaged header is read past: its frames say what they are', () => {
    // Rate, channels and depth stand in bytes 18 to 21, type and length of the first block in 4 to 7.
    for (const at of [4, 5, 7, 18, 19, 20, 21]) {
      const result = read(altered(at));
      expect(result.channels[0]).toEqual(original);
      expect(result.info).toMatchObject({ sampleRateHz: 8000, channels: 1, encoding: 'flac 16' });
      expect(codes(result)).toContain('damaged-header');
    }
    // Without its own STREAMINFO a frame that leaves its rate open cannot be read.
    expect(() => read(altered(0))).toThrow(refuses('not-a-recording'));
  });

  describe('files joined to one', () => {
    const joint = { code: 'time-gaps', message: expect.stringContaining('files were joined'), atSeconds: 6000 / 8000 };
    const id3 = bytes('ID3', [4, 0, 0, 0, 0, 0, 20], new Uint8Array(20).fill(0xff));

    it('are read on, and where the second begins is said', () => {
      for (const second of [file, bytes(id3, file)]) {
        const result = read(bytes(file, second));
        expect(result.channels[0]).toEqual([...original, ...original]);
        expect(result.problems).toEqual([joint]);
        for (const pieces of [[1], [7, 100, 3000]]) expect(read(bytes(file, second), pieces)).toEqual(result);
      }
    });

    it('may count their frames in other blocks', () => {
      const samples = Float32Array.from({ length: 30_000 }, (_, i) => Math.sin(i / 7) / 2);
      const written = encodeFlac(samples, { sampleRateHz: 8000 });
      const second = readAll(written, undefined, new FlacReader()).channels[0];
      const result = read(bytes(file, written, file));
      expect(result.channels[0]).toEqual([...original, ...second, ...original]);
      expect(result.problems).toEqual([joint]);
      const other = read(bytes(written, file));
      expect(other.channels[0]).toEqual([...second, ...original]);
      expect(other.problems).toMatchObject([{ code: 'time-gaps', atSeconds: 30_000 / 8000 }]);
    });

    it('keep the time within the second, of which the first frames are damaged', () => {
      const result = read(bytes(file, altered(frameStarts[0] + 60)));
      expect(result.channels[0]).toEqual([...original, ...withSilence(0)]);
      expect(codes(result)).toEqual(['damaged', 'time-gaps']);
    });

    it('are read as far as they have one form, and what is left out is said', () => {
      const result = read(bytes(file, checkFile('stereo24.flac')));
      expect(result.channels).toEqual([original]);
      expect(result.problems).toMatchObject([{ code: 'second-stream', atSeconds: 6000 / 8000 }]);
    });

    it('say it where the header of the second is damaged, too', () => {
      const result = read(bytes(file, altered(2)));
      expect(result.channels[0]).toEqual([...original, ...original]);
      expect(leavesGaps(result.problems)).toBe(true);
    });
  });

  it('a frame number far off makes no endless silence', () => {
    const frames = [plainFrame(0, ramp(16)), plainFrame(0xffff, ramp(16)), plainFrame(0xfffe, ramp(16))];
    const near = read(bytes(streamStart(), ...frames));
    expect(near.channels[0].length).toBe(0xffff * 16 + 32);
    const rate = (number: number) => plainFrame(number, ramp(8000));
    const far = read(bytes(streamStart({ least: 0, most: 0 }), rate(0), rate(0x8fff), rate(0x9000)));
    expect(far.channels[0].length).toBe(3 * 8000);
    expect(codes(far)).toEqual(['time-jump']);
  });

  it('cut short at any place: what came before is there, and it is said', () => {
    const random = new Random(7);
    for (let i = 0; i < 100; i++) {
      const length = random.integer(file.length);
      const cut = file.subarray(0, length);
      if (length < frameStarts[1]) {
        expect(() => read(cut)).toThrow(AudioError);
        continue;
      }
      const whole = frameStarts.filter((_, n) => (frameStarts[n + 1] ?? file.length) <= length).length;
      const result = read(cut);
      expect(result.channels[0]).toEqual(original.slice(0, whole * FRAME));
      expect(codes(result)).toEqual(['cut-short']);
      expect(result.problems[0].atSeconds).toBe((whole * FRAME) / 8000);
    }
    const open = file.slice(0, frameStarts[3] + 50);
    open.fill(0, 22, 26);
    expect(codes(read(open))).toEqual(['cut-short']);
    expect(read(open).problems[0].message).toContain('within a frame');
  });

  it('with one in a hundred bytes wrong: no crash, and each sample is right or silent', () => {
    const flips = (flac: Uint8Array, seed: number, from: number): Uint8Array => {
      const random = new Random(seed);
      return flac.map((byte, at) => (at >= from && random.uniform() < 0.01 ? byte ^ (1 + random.integer(255)) : byte));
    };
    let intact = 0;
    for (const name of ['mono16-0', 'mono16-8', 'stereo24', 'stereo32', 'six8']) {
      const flac = checkFile(`${name}.flac`);
      const truth = read(flac).channels;
      for (let seed = 0; seed < 20; seed++) {
        try {
          const result = read(flips(flac, seed, seed % 2 === 0 ? 0 : firstFrameAt(flac)), [999]);
          intact++;
          expect(result.problems.length).toBeGreaterThan(0);
          if (seed % 2 === 0) continue;
          result.channels.forEach((samples, c) => {
            expect(samples.every((x, i) => x === 0 || x === truth[c][i])).toBe(true);
          });
        } catch (error) {
          expect(error).toBeInstanceOf(AudioError);
        }
      }
    }
    // Frames of a kilobyte and more nearly all have a wrong byte; some small last ones have none.
    expect(intact).toBeGreaterThan(0);
  });
});

describe('FlacReader: what cannot be read says why', () => {
  it.each([
    ['empty-file', new Uint8Array()],
    ['not-a-recording', bytes('fL')],
    ['not-a-recording', bytes('RIFFxxxx')],
    ['flac-no-frames', file.subarray(0, 20)],
    ['flac-no-frames', file.subarray(0, firstFrameAt(file))],
    ['flac-no-frames', bytes(streamStart(), new Uint8Array(5000).fill(0xff))],
    ['flac-no-frames', bytes('fLaC', new Uint8Array(100))],
  ])('%s', (code, given) => {
    expect(() => read(given)).toThrow(refuses(code));
  });

  it('refuses a rate that cannot be, and says it again when asked again', () => {
    const slow = streamStart().with(18, 0).with(19, 0x10);
    const frame = plainFrame(0, ramp(16));
    frame[2] &= 0xf0;
    frame[7] = crc8(frame, 0, 7);
    const crc = crc16(frame, 0, frame.length - 2);
    frame.set([crc >> 8, crc & 255], frame.length - 2);
    const reader = new FlacReader();
    expect(() => reader.push(bytes(slow, frame, frame), () => {})).toThrow(refuses('sample-rate'));
    expect(() => reader.push(file, () => {})).toThrow(refuses('sample-rate'));
    expect(() => reader.end(() => {})).toThrow(refuses('sample-rate'));
  });

  it('meets hostile bytes in bounded time and memory', () => {
    // A frame header in every sixteen bytes, each claiming the largest block of eight channels.
    const header = [0xff, 0xf8, 0x74, 0x72, 0, 0xff, 0xfe];
    const trap = bytes([...header, crc8(Uint8Array.from(header), 0, 7)], new Uint8Array(8));
    const hostile = new Uint8Array(200_000);
    for (let at = 0; at < hostile.length; at += 16) hostile.set(trap, at);
    expect(() => read(bytes(streamStart(), hostile))).toThrow(refuses('flac-no-frames'));
    fc.assert(
      fc.property(fc.uint8Array({ maxLength: 300 }), (noise) => {
        try {
          read(bytes(streamStart(), [0xff, 0xf8, 0x74, 0x02], noise));
        } catch (error) {
          expect(error).toBeInstanceOf(AudioError);
        }
      }),
      { numRuns: 500, seed: 4 },
    );
  });
});

it('blocks have one size', () => {
  expect(read(file).blockFrames).toEqual([BLOCK_FRAMES, 6000 - BLOCK_FRAMES]);
});

import { describe, expect, it } from 'vitest';
import { BitWriter } from '../../../../decoders/audio/flac/bit-writer.ts';
import { crc8, crc16 } from '../../../../decoders/audio/flac/crc.ts';
import { DAMAGED, FrameDecoder, INCOMPLETE } from '../../../../decoders/audio/flac/frame.ts';
import { parseFrameHeader } from '../../../../decoders/audio/flac/frame-header.ts';
import { parseStreamInfo } from '../../../../decoders/audio/flac/stream-info.ts';
import reference from '../../../reference/audio.json';
import { readAll } from '../wav-file.ts';
import { checkFile, firstFrameAt, rfcExample } from './check-files.ts';

/** Samples of all frames of a file, one array a channel. */
function decodeAll(file: Uint8Array): number[][] {
  const info = parseStreamInfo(file.subarray(8));
  const decoder = new FrameDecoder();
  const samples: number[][] = [];
  for (let at = firstFrameAt(file); at < file.length; ) {
    const header = parseFrameHeader(file, at, file.length);
    if (header === null || header === 'incomplete') throw new Error(`no frame at ${at}`);
    const length = decoder.decode(header, header.bitsPerSample ?? info?.bitsPerSample ?? 0, file, at, file.length);
    if (length <= 0) throw new Error(`${length} at ${at}`);
    for (let c = 0; c < header.channels; c++) {
      samples[c] ??= [];
      samples[c].push(...decoder.channels[c].subarray(0, header.blockSize));
    }
    at += length;
  }
  return samples;
}

/** A mono frame around bits that stand for its subframe. */
function frameOf(blockSize: number, depthCode: number, subframe: (bits: BitWriter) => void): Uint8Array {
  const bits = new BitWriter();
  for (const byte of [0xff, 0xf8, 0x74, depthCode << 1, 0, (blockSize - 1) >> 8, (blockSize - 1) & 255])
    bits.put(byte, 8);
  bits.put(crc8(bits.bytes, 0, bits.bytes.length), 8);
  subframe(bits);
  bits.align();
  bits.put(crc16(bits.bytes, 0, bits.bytes.length), 16);
  return bits.bytes.slice();
}

function decodeOne(frame: Uint8Array, to = frame.length) {
  const header = parseFrameHeader(frame, 0, frame.length);
  if (header === null || header === 'incomplete') throw new Error('no header');
  const decoder = new FrameDecoder();
  const length = decoder.decode(header, header.bitsPerSample ?? 5, frame, 0, to);
  return { length, samples: [...decoder.channels[0].subarray(0, header.blockSize)] };
}

describe('FrameDecoder: outside files', () => {
  it.each([1, 2, 3])('example %d of RFC 9639', (number) => {
    const example = reference.flac_examples[number - 1];
    const file = rfcExample(number);
    expect(file.length).toBe(example.bytes);
    const channels = [example.channel_1_samples, example.channel_2_samples].filter((samples) => samples !== null);
    expect(decodeAll(file)).toEqual(channels);
  });

  it.each([
    ['mono16', 'mono16-0', 16],
    ['mono16', 'mono16-8', 16],
    ['stereo24', 'stereo24', 24],
    ['stereo32', 'stereo32', 32],
    ['six8', 'six8', 8],
  ])('%s.wav as %s.flac, written by flac 1.4.2', (wav, flac, bits) => {
    const original = readAll(checkFile(`${wav}.wav`));
    const scaled = decodeAll(checkFile(`${flac}.flac`)).map((samples) =>
      samples.map((x) => Math.fround(x / 2 ** (bits - 1))),
    );
    expect(scaled).toEqual(original.channels);
  });
});

describe('FrameDecoder: what tools seldom write', () => {
  const some = [0, 1, -1, 7, -8, 3, 3, -5, 100, -100, 127, -128, 0, 0, 1, 2];

  it('partitions of plain numbers (escape code), also of no bits', () => {
    for (const method of [0, 1]) {
      const parameterBits = 4 + method;
      const frame = frameOf(16, 1, (bits) => {
        bits.put(8 << 1, 8);
        bits.put(method, 2);
        bits.put(2, 4);
        const rice = Int32Array.from(some);
        for (const [from, width] of [
          [0, 4],
          [4, null],
          [8, 8],
        ] as const) {
          bits.put(width === null ? 2 : 2 ** parameterBits - 1, parameterBits);
          if (width === null) bits.rice(2, rice, from, from + 4);
          else bits.put(width, 5);
          if (width !== null) for (const x of some.slice(from, from + 4)) bits.put(x, width);
        }
        bits.put(2 ** parameterBits - 1, parameterBits);
        bits.put(0, 5);
      });
      expect(decodeOne(frame)).toEqual({ length: frame.length, samples: [...some.slice(0, 12), 0, 0, 0, 0] });
    }
  });

  it('wasted bits in plain and constant subframes, a depth from STREAMINFO', () => {
    const verbatim = frameOf(4, 1, (bits) => {
      bits.put((1 << 1) | 1, 8);
      bits.unary(2);
      for (const x of [1, -1, 15, -16]) bits.put(x, 5);
    });
    expect(decodeOne(verbatim).samples).toEqual([8, -8, 120, -128]);
    const constant = frameOf(300, 0, (bits) => {
      bits.put(0, 8);
      bits.put(-3, 5);
    });
    expect(decodeOne(constant).samples).toEqual(new Array(300).fill(-3));
  });

  it('a predictor whose sums need more than 32 bits', () => {
    const coefficient = 2 ** 14 - 1;
    const large = 2 ** 23 - 1;
    const linear = frameOf(16, 6, (bits) => {
      bits.put((32 + 1) << 1, 8);
      bits.put(large, 24);
      bits.put(-large, 24);
      bits.put(14, 4);
      bits.put(14, 5);
      bits.put(coefficient, 15);
      bits.put(-coefficient, 15);
      bits.put(0, 6);
      bits.put(0, 4);
      bits.rice(0, new Int32Array(14), 0, 14);
    });
    // The definition in exact integers.
    const expected = [BigInt(large), BigInt(-large)];
    for (let i = 2; i < 16; i++) {
      expected.push((BigInt(coefficient) * expected[i - 1] - BigInt(coefficient) * expected[i - 2]) >> 14n);
    }
    expect(decodeOne(linear).samples).toEqual(expected.map((x) => Number(BigInt.asIntN(32, x))));
  });
});

describe('FrameDecoder: damage', () => {
  const frame = rfcExample(3).slice(firstFrameAt(rfcExample(3)));

  it('finds every single wrong bit', () => {
    for (let bit = 0; bit < 8 * frame.length; bit++) {
      const damaged = frame.slice();
      damaged[bit >> 3] ^= 0x80 >> (bit & 7);
      const header = parseFrameHeader(damaged, 0, damaged.length);
      if (header === null || header === 'incomplete') continue;
      const length = new FrameDecoder().decode(header, 8, damaged, 0, damaged.length);
      expect(length === DAMAGED || length === INCOMPLETE).toBe(true);
    }
  });

  it.each([
    ['an order above the block size', [(32 + 31) << 1]],
    ['a reserved subframe type', [2 << 1]],
    ['a leading bit that is set', [0x80]],
    ['a reserved residual code', [8 << 1, 0x80]],
    ['a partition size that does not divide the block', [8 << 1, 0x17, 0, 0, 0]],
  ])('refuses %s', (_, subframe) => {
    const refused = frameOf(15, 1, (bits) => {
      for (const byte of subframe) bits.put(byte, 8);
    });
    expect(decodeOne(refused).length).toBe(DAMAGED);
  });

  it('tells a frame that is cut off from a damaged one', () => {
    for (let length = 8; length < frame.length; length++) expect(decodeOne(frame, length).length).toBe(INCOMPLETE);
    expect(decodeOne(frame).length).toBe(frame.length);
  });
});

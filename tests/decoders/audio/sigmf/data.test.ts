import { describe, expect, it } from 'vitest';
import { RecordingReader } from '../../../../decoders/audio/open.ts';
import { SigmfDataReader } from '../../../../decoders/audio/sigmf/data.ts';
import { readSigmfMeta } from '../../../../decoders/audio/sigmf/meta.ts';
import { bytes, readAll } from '../wav-file.ts';
import { joined, metaText } from './sigmf-file.ts';

/** Full scale, half of it below, zero. */
const VALUES: Readonly<Record<string, readonly number[]>> = {
  u8: [255, 64, 128],
  i8: [127, -64, 0],
  u16: [65_535, 16_384, 32_768],
  i16: [32_767, -16_384, 0],
  u32: [2 ** 32 - 1, 2 ** 30, 2 ** 31],
  i32: [2 ** 31 - 1, -(2 ** 30), 0],
  f32: [1, -0.5, 0],
  f64: [1, -0.5, 0],
};
const SETTERS = {
  u8: [1, 'setUint8'],
  i8: [1, 'setInt8'],
  u16: [2, 'setUint16'],
  i16: [2, 'setInt16'],
  u32: [4, 'setUint32'],
  i32: [4, 'setInt32'],
  f32: [4, 'setFloat32'],
  f64: [8, 'setFloat64'],
} as const;

function packed(type: keyof typeof SETTERS, isLittle: boolean): Uint8Array {
  const [width, setter] = SETTERS[type];
  const view = new DataView(new ArrayBuffer(3 * width));
  for (const [i, value] of VALUES[type].entries()) view[setter](i * width, value, isLittle);
  return new Uint8Array(view.buffer);
}

const types = Object.keys(SETTERS) as (keyof typeof SETTERS)[];
const cases = types.flatMap(
  (type) =>
    (SETTERS[type][0] === 1
      ? [[type, '']]
      : [
          [type, '_le'],
          [type, '_be'],
        ]) as [keyof typeof SETTERS, string][],
);

describe('samples of a SigMF recording', () => {
  it.each(cases)('of type %s%s come as they were, in pieces of any size', (type, order) => {
    const data = packed(type, order !== '_be');
    for (const piece of [1, 3, 5, 100]) {
      const { channels, info } = readAll(
        data,
        [piece],
        new RecordingReader({ sigmfMeta: metaText({ datatype: `r${type}${order}` }) }),
      );
      expect(info?.iq).toBeUndefined();
      expect(channels).toHaveLength(1);
      const [full, half, zero] = channels[0];
      expect(full).toBeGreaterThan(0.99);
      expect([half, zero]).toEqual([-0.5, 0]);
    }
  });

  it('leaves out what stands before captures and behind the samples', () => {
    const sample = (value: number) => [value, 0, 0, 0];
    const data = bytes('HEAD', sample(1), sample(2), 'more', 'more', sample(3), 'the end');
    const meta = metaText({ datatype: 'ci16_le', trailing_bytes: 7 }, [
      { sample_start: 0, header_bytes: 4 },
      { sample_start: 2, header_bytes: 8 },
    ]);
    for (const piece of [1, 4, 6, 100]) {
      const { channels } = readAll(data, [piece], new RecordingReader({ sigmfMeta: meta }));
      expect(channels.map((samples) => samples.map((x) => 32_768 * x))).toEqual([
        [1, 2, 3],
        [0, 0, 0],
      ]);
    }
  });

  it('tells of captures at other tunings, of pauses between them, and of times that are none', () => {
    const meta = readSigmfMeta(
      metaText({ sample_rate: 1000 }, [
        { sample_start: 0, frequency: 100, datetime: '2027-03-01T18:40:00Z' },
        { sample_start: 2000, frequency: 200, datetime: '2027-03-01T18:40:02.0001Z' },
        { sample_start: 4000, datetime: '2027-03-01T18:40:14Z' },
        { sample_start: 5000, datetime: 'yesterday' },
      ]),
    );
    const { info, problems } = readAll(new Uint8Array(20_000), [5000], new SigmfDataReader(meta, 24_000));
    expect(info?.iq?.captures.map(({ startSeconds, centerHz }) => [startSeconds, centerHz])).toEqual([
      [0, 100],
      [2, 200],
      [4, null],
      [5, null],
    ]);
    const told = problems.map(({ code, atSeconds }) => [code, atSeconds]);
    expect(told).toEqual(
      expect.arrayContaining([
        ['captures-apart', 4],
        ['bad-datetime', 5],
        ['cut-short', 5],
      ]),
    );
    expect(told).toHaveLength(4);
  });

  it.each([
    ['retuned between captures', 'ci16_le', [100, 90], 'retuned'],
    ['one frequency, which a signal may have been led along beside', 'ci16_le', [100], undefined],
    ['the same after a pause', 'ci16_le', [100, 100], undefined],
    ['a capture that does not say it', 'ci16_le', [100, undefined], undefined],
    ['real samples', 'ri16_le', [100, 90], undefined],
  ])('tells how the receiver was tuned where the captures do: %s', (_, datatype, frequencies, mode) => {
    const captures = frequencies.map((frequency, i) => ({ sample_start: 9 * i, frequency }));
    const { info } = new SigmfDataReader(readSigmfMeta(metaText({ datatype }, captures)), 4000);
    expect(info.iq?.tuning).toEqual(mode && { mode, referenceErrorPpm: null });
  });

  it('of several complex channels says that the first counts', () => {
    const { info, problems } = readAll(
      joined(new Uint8Array(800)),
      [800],
      new RecordingReader({ sigmfMeta: metaText({ num_channels: 2 }) }),
    );
    expect(info).toMatchObject({ channels: 4 });
    expect(problems.map(({ code }) => code)).toContain('further-channels');
  });
});

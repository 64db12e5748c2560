import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { BYTES_PER_SAMPLE } from '../../../../decoders/audio/sample-format.ts';
import { readSigmfMeta } from '../../../../decoders/audio/sigmf/meta.ts';
import { AudioError } from '../../../../decoders/errors.ts';
import reference from '../../../reference/audio.json';
import { metaText } from './sigmf-file.ts';

const code = (expected: string) => expect.objectContaining({ name: 'AudioError', code: expected });

describe('SigMF metadata', () => {
  // Published data types and their sizes: SigMF 1.2.5.
  it.each(reference.sigmf_datatypes)('knows $datatype', ({ datatype, bytes_per_sample }) => {
    const meta = readSigmfMeta(metaText({ datatype }));
    expect(meta.numbers * BYTES_PER_SAMPLE[meta.datatype.format]).toBe(bytes_per_sample);
    expect(meta.datatype.isComplex).toBe(datatype.startsWith('c'));
    expect(meta.datatype.isBigEndian).toBe(datatype.endsWith('_be'));
  });

  it('gives rate, channels, and captures counted from the first sample of the file', () => {
    const captures = [
      { sample_start: 500, frequency: 145.92e6, datetime: '2027-03-01T18:40:00.25Z', header_bytes: 8 },
      { sample_start: 900, frequency: 145.93e6 },
    ];
    expect(readSigmfMeta(metaText({ num_channels: 2, offset: 500, trailing_bytes: 4 }, captures))).toMatchObject({
      sampleRateHz: 48_000,
      numbers: 4,
      trailingBytes: 4,
      captures: [
        { startFrame: 0, centerHz: 145.92e6, datetime: '2027-03-01T18:40:00.25Z', headerBytes: 8 },
        { startFrame: 400, centerHz: 145.93e6, datetime: null, headerBytes: 0 },
      ],
    });
  });

  it('takes no captures for one at the beginning', () => {
    const nothing = { startFrame: 0, centerHz: null, datetime: null, headerBytes: 0 };
    expect(readSigmfMeta(metaText({}, [])).captures).toEqual([nothing]);
  });

  it.each([
    ['sigmf-bad-json', '{"global": '],
    ['sigmf-bad-meta', '[]'],
    ['sigmf-bad-meta', '{"captures": []}'],
    ['sigmf-bad-meta', metaText({ datatype: 7 })],
    ['sigmf-bad-meta', metaText({ sample_rate: '48k' })],
    ['sigmf-bad-meta', metaText({ num_channels: 0 })],
    ['sigmf-bad-meta', metaText({}, [{ sample_start: -1 }])],
    ['sigmf-bad-meta', metaText({}, [{ sample_start: 9 }, { sample_start: 3 }])],
    ['sigmf-unread-type', metaText({ datatype: 'ci4' })],
    ['sigmf-no-rate', metaText({ sample_rate: undefined })],
    ['sigmf-no-data', metaText({ metadata_only: true })],
  ])('says %s of %s', (expected, text) => {
    expect(() => readSigmfMeta(text)).toThrow(code(expected));
  });

  it('names the place of a fault', () => {
    expect(() => readSigmfMeta(metaText({}, [{ sample_start: 0, frequency: 'high' }]))).toThrow(
      /captures\[0\]\["core:frequency"\] stands "high"/,
    );
  });

  it('refuses any other JSON, and any cut of its own, with its own errors alone', () => {
    const whole = metaText({ num_channels: 1 }, [{ sample_start: 0, frequency: 1e8 }]);
    const texts = fc.oneof(
      fc.json(),
      fc.nat(whole.length - 1).map((length) => whole.slice(0, length)),
      fc
        .dictionary(fc.constantFrom('datatype', 'sample_rate', 'offset', 'num_channels'), fc.jsonValue())
        .map((global) => metaText(global)),
      fc
        .array(fc.dictionary(fc.constantFrom('sample_start', 'frequency', 'header_bytes'), fc.jsonValue()))
        .map((captures) => metaText({}, captures)),
    );
    fc.assert(
      fc.property(texts, (text) => {
        try {
          expect(readSigmfMeta(text).sampleRateHz).toBeGreaterThanOrEqual(1);
        } catch (error) {
          expect(error).toBeInstanceOf(AudioError);
        }
      }),
    );
  });
});

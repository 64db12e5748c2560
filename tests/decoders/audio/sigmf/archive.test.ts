import { execFileSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { RecordingReader } from '../../../../decoders/audio/open.ts';
import { metaOfArchive } from '../../../../decoders/audio/sigmf/archive.ts';
import { FiveunitError } from '../../../../decoders/errors.ts';
import { readAll } from '../wav-file.ts';
import { joined, metaText, tarOf } from './sigmf-file.ts';

const META = metaText({ sample_rate: 250_000 }, [
  { sample_start: 0, frequency: 145.9e6, datetime: '2027-03-01T18:40:00Z' },
]);
const SAMPLES = new Uint8Array(Int16Array.from({ length: 2400 }, (_, i) => 100 * (i % 300)).buffer);
const metaFirst = tarOf({ name: 'r/x.sigmf-meta', body: META }, { name: 'r/x.sigmf-data', body: SAMPLES });
const dataFirst = tarOf({ name: 'r/x.sigmf-data', body: SAMPLES }, { name: 'r/x.sigmf-meta', body: META });
const plain = readAll(SAMPLES, [SAMPLES.length], new RecordingReader({ sigmfMeta: META }));
const code = (expected: string) => expect.objectContaining({ code: expected });

const readArchive = (archive: Uint8Array, pieces?: readonly number[], meta: string | null = null) =>
  readAll(archive, pieces, new RecordingReader({ sigmfMeta: meta }));
const lookFor = (archive: Uint8Array) => metaOfArchive((at, length) => archive.subarray(at, at + length));

describe('a SigMF archive', () => {
  it('gives what its pair of files gives, in pieces of any size, whichever stands first', () => {
    expect(plain.info).toMatchObject({
      sampleRateHz: 250_000,
      channels: 2,
      encoding: 'sigmf ci16_le',
      startedAt: { iso: '2027-03-01T18:40:00.000Z', source: 'SigMF core:datetime' },
      iq: { captures: [{ startSeconds: 0, centerHz: 145.9e6 }] },
    });
    expect(plain.channels[0].slice(0, 3)).toEqual([0, 200 / 32768, 400 / 32768]);
    for (const archive of [metaFirst, dataFirst]) {
      for (const pieces of [undefined, [1], [511, 3], [4000]]) {
        const { info, ...rest } = readArchive(archive, pieces);
        expect(rest).toEqual({ ...plain, info: undefined });
        expect(info).toEqual({ ...plain.info, statedFrames: 1200 });
      }
    }
  });

  it('is read at once where its metadata was looked for before', () => {
    for (const archive of [metaFirst, dataFirst]) expect(lookFor(archive)).toBe(META);
    const other = metaText({ datatype: 'ci8' });
    expect(readArchive(dataFirst, undefined, other).info?.encoding).toBe('sigmf ci8');
  });

  it('as tar itself writes it', () => {
    const folder = mkdtempSync(join(tmpdir(), 'fiveunit-tar-'));
    try {
      writeFileSync(join(folder, 'x.sigmf-meta'), META);
      writeFileSync(join(folder, 'x.sigmf-data'), SAMPLES);
      for (const form of ['ustar', 'pax', 'gnu']) {
        const file = join(folder, `${form}.sigmf`);
        try {
          execFileSync('tar', ['-C', folder, `--format=${form}`, '-cf', file, './x.sigmf-data', './x.sigmf-meta']);
        } catch {
          return;
        }
        const archive = readFileSync(file);
        expect(lookFor(archive)).toBe(META);
        expect(readArchive(archive, [700]).channels).toEqual(plain.channels);
      }
    } finally {
      rmSync(folder, { recursive: true });
    }
  });

  it('says what it lacks', () => {
    const lone = (name: string, body: Uint8Array | string) => () => readArchive(tarOf({ name, body }));
    expect(lone('x.sigmf-meta', META)).toThrow(code('sigmf-no-data'));
    expect(lone('x.sigmf-data', SAMPLES)).toThrow(code('sigmf-no-meta'));
    expect(lone('x.txt', 'no recording')).toThrow(code('sigmf-no-data'));
    const mismatched = tarOf({ name: 'y.sigmf-meta', body: META }, { name: 'x.sigmf-data', body: SAMPLES });
    expect(() => readArchive(mismatched)).toThrow(code('sigmf-no-meta'));
  });

  it('does not hold samples without end, nor metadata', () => {
    const long = tarOf({ name: 'x.sigmf-data', body: new Uint8Array(17 * 2 ** 20) });
    expect(() => new RecordingReader().push(long, () => {})).toThrow(code('sigmf-meta-after-data'));
    const huge = tarOf({ name: 'x.sigmf-meta', size: 9 * 2 ** 20 });
    expect(() => readArchive(huge)).toThrow(code('sigmf-meta-too-large'));
  });

  it('says that it was cut short, and that it holds more than one recording', () => {
    const cut = readArchive(metaFirst.subarray(0, 512 + 512 + 512 + 1000));
    expect(cut.problems.map((problem) => problem.code)).toContain('cut-short');
    expect(cut.channels[0]).toHaveLength(250);
    const two = joined(metaFirst.subarray(0, -1024), tarOf({ name: 'y.sigmf-data', body: SAMPLES }));
    expect(readArchive(two).problems.map((problem) => problem.code)).toContain('further-recordings');
  });

  it('survives any damage and any cut with its own errors alone', () => {
    const place = fc.nat(2600);
    fc.assert(
      fc.property(
        fc.constantFrom(metaFirst, dataFirst),
        fc.array(fc.tuple(place, fc.nat(255))),
        fc.nat(6000),
        (archive, changes, end) => {
          const damaged = archive.slice(0, end);
          for (const [at, byte] of changes) if (at < damaged.length) damaged[at] = byte;
          try {
            const meta = lookFor(damaged);
            readArchive(damaged, [997], meta);
          } catch (error) {
            expect(error).toBeInstanceOf(FiveunitError);
          }
        },
      ),
    );
  });
});

import { execFileSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { sigmfArchiveFrame } from '../../../../decoders/audio/sigmf/archive-write.ts';
import { readTarHeader } from '../../../../decoders/audio/sigmf/tar.ts';
import { encodeUtf8 } from '../../../../decoders/audio/utf8.ts';
import { joined, metaText } from './sigmf-file.ts';

function archiveOf(meta: Uint8Array, data: Uint8Array): Uint8Array {
  const { beforeMeta, beforeData, afterData } = sigmfArchiveFrame(meta.length, data.length);
  return joined(beforeMeta, meta, beforeData, data, afterData);
}

test.each([
  [0, 0],
  [1, 512],
  [513, 1023],
])('tar itself unpacks a pair with %i and %i bytes beyond its blocks', (metaExtra, dataBytes) => {
  const meta = encodeUtf8(metaText() + ' '.repeat(metaExtra));
  const data = Uint8Array.from({ length: dataBytes }, (_, i) => i % 251);
  const directory = mkdtempSync(join(tmpdir(), 'fiveunit-'));
  writeFileSync(join(directory, 'x.sigmf'), archiveOf(meta, data));
  execFileSync('tar', ['-xf', 'x.sigmf'], { cwd: directory });
  expect(new Uint8Array(readFileSync(join(directory, 'recording/recording.sigmf-meta')))).toEqual(meta);
  expect(new Uint8Array(readFileSync(join(directory, 'recording/recording.sigmf-data')))).toEqual(data);
  rmSync(directory, { recursive: true });
});

test('a size of more than eight gibibytes is stated, too', () => {
  const bytes = 12 * 2 ** 30 + 34_567;
  const { beforeData } = sigmfArchiveFrame(100, bytes);
  expect(readTarHeader(beforeData.subarray(-512))).toEqual({
    name: 'recording/recording.sigmf-data',
    type: '0',
    bytes,
  });
});

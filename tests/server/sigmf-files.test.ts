import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, expect, test } from 'vitest';
import { recordingFiles, withoutTwins } from '../../server/sigmf-files.ts';
import { metaText, tarOf } from '../decoders/audio/sigmf/sigmf-file.ts';

const folder = mkdtempSync(join(tmpdir(), 'fiveunit-sigmf-'));
afterAll(() => rmSync(folder, { recursive: true }));

function file(name: string, content: string | Uint8Array): string {
  writeFileSync(join(folder, name), content);
  return join(folder, name);
}

test('either file of a pair finds the other', () => {
  const meta = file('x.sigmf-meta', metaText());
  const samples = file('x.sigmf-data', new Uint8Array(8));
  for (const named of [meta, samples]) expect(recordingFiles(named)).toEqual({ samples, sigmfMeta: metaText() });
  expect(withoutTwins([meta, samples, 'other.sigmf-meta'])).toEqual([samples, 'other.sigmf-meta']);
});

test('of half a pair it says what is missing', () => {
  const missing = expect.objectContaining({ code: 'sigmf-no-twin' });
  expect(() => recordingFiles(file('y.sigmf-meta', metaText()))).toThrow(missing);
  expect(() => recordingFiles(file('z.sigmf-data', ''))).toThrow(/z\.sigmf-meta is missing/);
});

test('the metadata of an archive is found behind its samples', () => {
  const archive = tarOf(
    { name: 'x.sigmf-data', body: new Uint8Array(5000) },
    { name: 'x.sigmf-meta', body: metaText() },
  );
  const path = file('x.sigmf', archive);
  expect(recordingFiles(path)).toEqual({ samples: path, sigmfMeta: metaText() });
});

test('what is no SigMF, or no file, goes by its name', () => {
  for (const path of [file('a.wav', 'RIFF'), folder, join(folder, 'none'), '-']) {
    expect(recordingFiles(path)).toEqual({ samples: path, sigmfMeta: null });
  }
});

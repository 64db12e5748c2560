import { writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import type { DecodeEvent, DecodeOptions, DecodeSummary, RecordingDecoder } from '../../../decoders/decode.ts';
import { AudioError } from '../../../decoders/errors.ts';
import { decodeFile } from '../../../server/jobs/decode-file.ts';
import { temporaryDirectory } from '../support/directory.ts';
import { burstOf, decodedFrame } from '../support/records.ts';

const summary: DecodeSummary = {
  info: { sampleRateHz: 8000, channels: 1, encoding: 'test', statedFrames: null, startedAt: null },
  seconds: 1,
  problems: [],
  channel: null,
  presence: [],
};

/** Takes note of what it is fed; finds a burst at the start and one at the end. */
class Noting implements RecordingDecoder {
  readonly pieces: number[] = [];
  sum = 0;

  push(bytes: Uint8Array, onEvent: (event: DecodeEvent) => void): void {
    if (this.pieces.length === 0) onEvent({ type: 'burst', burst: burstOf('A'), frames: [] });
    this.pieces.push(bytes.length);
    for (const byte of bytes) this.sum += byte;
  }

  end(onEvent: (event: DecodeEvent) => void): DecodeSummary {
    const frames = [{ mission: 'wren-1', frame: decodedFrame(), readings: [] }];
    onEvent({ type: 'burst', burst: burstOf('B'), frames });
    return summary;
  }
}

async function fileOf(bytes: Uint8Array): Promise<string> {
  const path = join(await temporaryDirectory(), 'recording');
  await writeFile(path, bytes);
  return path;
}

test('a file is fed in pieces, all of it and once, and what is found comes in order', async () => {
  const bytes = Uint8Array.from({ length: 700_001 }, (_, i) => i % 251);
  const decoder = new Noting();
  const given: DecodeOptions[] = [];
  const create = (options: DecodeOptions) => {
    given.push(options);
    return decoder;
  };
  const outcome = await decodeFile(
    { path: await fileOf(bytes), missions: [], startedAt: '2031-05-04T09:00:00.000Z', iq: null },
    create,
    () => {},
  );
  expect(given).toEqual([{ missions: [], practice: true, startedAt: '2031-05-04T09:00:00.000Z', codecs: {} }]);
  expect(decoder.pieces.every((piece) => piece <= 1024 * 1024)).toBe(true);
  expect(decoder.pieces.length).toBeGreaterThan(1);
  expect(decoder.pieces.reduce((a, b) => a + b)).toBe(bytes.length);
  expect(decoder.sum).toBe(bytes.reduce((a, b) => a + b));
  expect(outcome).toMatchObject({
    readable: true,
    summary,
    bursts: [{ burst: { text: 'A' } }, { burst: { text: 'B' } }],
  });
});

test('a recording that cannot be read is a result; a fault of the decoder is not', async () => {
  const task = { path: await fileOf(new Uint8Array(3)), missions: [], startedAt: null, iq: null };
  const failing = (error: Error) => () => ({
    push: () => {},
    end: () => {
      throw error;
    },
  });
  expect(await decodeFile(task, failing(new AudioError('not-audio', 'why')), () => {})).toEqual({
    readable: false,
    failure: { code: 'not-audio', message: 'why' },
  });
  await expect(decodeFile(task, failing(new RangeError('a fault')), () => {})).rejects.toThrow('a fault');
});

test('an empty file reaches the decoder, which says what it thinks of it', async () => {
  const decoder = new Noting();
  await decodeFile(
    { path: await fileOf(new Uint8Array(0)), missions: [], startedAt: null, iq: null },
    () => decoder,
    () => {},
  );
  expect(decoder.pieces).toEqual([]);
});

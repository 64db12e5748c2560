import { createRecordingDecoder } from '../../../decoders/recording.ts';
import { decodeFile } from '../../../server/jobs/decode-file.ts';
import type { DecodeRunner } from '../../../server/jobs/decode-runner.ts';
import { FakeDecoding } from './fake-decoding.ts';

/** Decodes real recordings right here. */
export class RealDecoding extends FakeDecoding {
  override async run(...[task, { onProgress }]: Parameters<DecodeRunner['run']>): ReturnType<DecodeRunner['run']> {
    this.runs++;
    return decodeFile(task, createRecordingDecoder, onProgress);
  }
}

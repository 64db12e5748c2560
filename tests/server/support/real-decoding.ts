import { createRecordingDecoder } from '../../../decoders/recording.ts';
import { decodeFile } from '../../../server/jobs/decode-file.ts';
import { FakeDecoding } from './fake-decoding.ts';

/** Decodes what really stands in the files, right here. */
export class RealDecoding extends FakeDecoding {
  override async run(...[task, { onProgress }]: Parameters<FakeDecoding['run']>): ReturnType<FakeDecoding['run']> {
    return decodeFile(task, createRecordingDecoder, onProgress);
  }
}

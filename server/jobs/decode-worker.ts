import type { MessagePort } from 'node:worker_threads';
import { createRecordingDecoder } from '../../decoders/recording.ts';
import { decodeFile } from './decode-file.ts';
import type { DecodeOutcome, DecodeTask } from './decode-runner.ts';

/** What a thread of the pool does: one task at a time, its progress going out through the port. */
export default async function decodeInThread({
  task,
  port,
}: {
  task: DecodeTask;
  port: MessagePort;
}): Promise<DecodeOutcome> {
  try {
    return await decodeFile(task, createRecordingDecoder, (progress) => port.postMessage(progress));
  } finally {
    port.close();
  }
}

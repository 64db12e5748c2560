import type { MessagePort } from 'node:worker_threads';
import { findFile } from '../inputs.ts';
import { decodeFile, type FileOutcome, type FileTask } from './file.ts';

/** What a thread of `decode` does: one file at a time, how far it is read going out through the port. */
export default async function decodeInThread({
  task,
  port,
}: {
  task: FileTask;
  port: MessagePort;
}): Promise<FileOutcome> {
  try {
    return await decodeFile(task, findFile, (progress) => port.postMessage(progress));
  } finally {
    port.close();
  }
}

import { parentPort, workerData } from 'node:worker_threads';
import { StreamListening, type StreamOptions } from './listening.ts';
import type { RunNote } from './stream-runner.ts';

export type StreamJob = { readonly type: 'take'; readonly bytes: Uint8Array } | { readonly type: 'end' };

/* A thread that decodes one stream: its options come as the thread's data, samples as messages. */
const port = parentPort;
if (port !== null) {
  const tell = (note: RunNote) => port.postMessage(note);
  // given by the server, which checked them
  const listening = new StreamListening(workerData as StreamOptions, tell);
  port.on('message', (job: StreamJob) => {
    if (job.type === 'take') {
      listening.take(job.bytes);
      return tell({ type: 'taken', bytes: job.bytes.length });
    }
    listening.end();
    tell({ type: 'ended' });
    port.close();
  });
}

import { Worker } from 'node:worker_threads';
import type { RunNote, StreamRunner } from './stream-runner.ts';
import type { StreamJob } from './stream-worker.ts';

/** Most memory that a stream's objects may take; its samples are bounded by the decoder itself. */
const MEGABYTES_MAX = 256;

/** Decodes each stream in a thread of its own. */
export function openThreadStreams(workerUrl = new URL('./stream-worker.js', import.meta.url)): StreamRunner {
  return {
    begin(options, tell) {
      const worker = new Worker(workerUrl, {
        workerData: options,
        resourceLimits: { maxOldGenerationSizeMb: MEGABYTES_MAX },
      });
      let isOver = false;
      worker.on('message', (note: RunNote) => {
        if (note.type === 'ended') isOver = true;
        tell(note);
      });
      worker.on('error', ({ message }) => {
        if (!isOver) tell({ type: 'failed', message });
        isOver = true;
      });
      const send = (job: StreamJob) => {
        if (!isOver) worker.postMessage(job);
      };
      return {
        push: (bytes) => send({ type: 'take', bytes }),
        end: () => send({ type: 'end' }),
        stop() {
          isOver = true;
          void worker.terminate();
        },
      };
    },
  };
}

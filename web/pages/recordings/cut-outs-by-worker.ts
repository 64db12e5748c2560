import type { AudioProblem } from '../../../decoders/audio/types.ts';
import type { CutOutReading } from '../../../server/http/messages.ts';
import { ApiProblem } from '../../api/problem.ts';
import type { BrowserSound } from './browser-sound.ts';
import type { CutOutJob, CutOutNote } from './cut-out-worker.ts';
import type { OnShare } from './uploads.ts';

/** A file that is read here, or sound that the browser has read. */
export type CutOutSource = { readonly file: File } | { readonly sound: BrowserSound };

export interface CutOutFound {
  readonly flac: Uint8Array<ArrayBuffer>;
  readonly reading: CutOutReading;
  /** What reading the whole recording turned up. */
  readonly problems: readonly AudioProblem[];
}

/**
 * Decodes in a worker, so that the page stays usable, and hears of each cut-out.
 *
 * @throws ApiProblem with the decoder's code when it cannot be read.
 */
export function cutOutsByWorker(
  job: CutOutJob,
  onShare: OnShare,
  onCutOut: (found: CutOutFound) => void,
): Promise<void> {
  const worker = new Worker(new URL('./cut-out-worker.ts', import.meta.url), { type: 'module' });
  return new Promise<void>((resolve, reject) => {
    worker.onmessage = ({ data }: MessageEvent<CutOutNote>) => {
      switch (data.type) {
        case 'share':
          return onShare(data.share, data.bursts);
        case 'cut-out':
          return onCutOut(data.found);
        case 'done':
          return resolve();
        case 'failed':
          return reject(new ApiProblem(data.code, 0, data.message));
      }
    };
    worker.onerror = ({ message }) => reject(new Error(message || 'the decoder could not be loaded'));
    const { source } = job;
    const moved = 'sound' in source ? source.sound.channels.map(({ buffer }) => buffer) : [];
    worker.postMessage(job, moved);
  }).finally(() => worker.terminate());
}

import { Piscina } from 'piscina';
import { Refusal } from '../refusal.ts';
import type { CutOutcome, CutTask, SoundCutter } from './cutter.ts';

const IDLE_MILLISECONDS = 10_000;
/** Longest that one cut may take: a recording of a day that must be decoded whole. */
const SECONDS_MAX = 600;
const MEGABYTES_MAX = 256;
/** More requests than this do not wait, lest the queue grow without bound. */
const WAITING_MAX = 200;

/** Cuts in a thread of its own, so that neither requests nor recordings that are being decoded make it wait. */
export function openThreadCutter(workerUrl: URL = new URL('./cut-worker.js', import.meta.url)): SoundCutter {
  const pool = new Piscina<CutTask, CutOutcome>({
    filename: workerUrl.href,
    minThreads: 0,
    maxThreads: 1,
    idleTimeout: IDLE_MILLISECONDS,
    resourceLimits: { maxOldGenerationSizeMb: MEGABYTES_MAX },
  });
  return {
    async cut(task) {
      if (pool.queueSize >= WAITING_MAX) {
        throw new Refusal('too-many-requests', `${WAITING_MAX} stretches of sound are waiting to be cut: come again`, {
          retryAfterSeconds: 5,
        });
      }
      return pool.run(task, { signal: AbortSignal.timeout(SECONDS_MAX * 1000) });
    },
    close: () => pool.destroy(),
  };
}

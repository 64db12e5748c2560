import { setTimeout } from 'node:timers/promises';
import { SendError } from './server-client.ts';

/** How often and how patiently something is tried again. */
export interface Patience {
  readonly tries: number;
  /** Wait after the first failure; doubled after every other. */
  readonly firstWaitSeconds: number;
  readonly longestWaitSeconds: number;
}

export const PATIENT: Patience = { tries: 6, firstWaitSeconds: 1, longestWaitSeconds: 120 };
/** Of one that waits for a server, however long it is away. */
export const TIRELESS: Patience = { ...PATIENT, tries: Number.POSITIVE_INFINITY };

/**
 * Tries something until it succeeds, fails for good, or patience is at an end. Waits as long as the server asks.
 *
 * @param signal ends the waiting.
 * @throws the last error; an `AbortError` when the waiting was ended.
 */
export async function withRetries<T>(
  work: () => Promise<T>,
  { tries, firstWaitSeconds, longestWaitSeconds }: Patience,
  onWait: (error: SendError, seconds: number) => void,
  signal?: AbortSignal,
): Promise<T> {
  for (let attempt = 1; ; attempt++) {
    try {
      return await work();
    } catch (error) {
      if (!(error instanceof SendError) || !error.passing || attempt >= tries) throw error;
      const own = Math.min(longestWaitSeconds, firstWaitSeconds * 2 ** (attempt - 1));
      const asked = error.retryAfterSeconds ?? own;
      const seconds = tries === Number.POSITIVE_INFINITY ? Math.min(asked, longestWaitSeconds) : asked;
      if (seconds > longestWaitSeconds) throw error;
      onWait(error, seconds);
      await setTimeout(1000 * seconds, undefined, signal === undefined ? {} : { signal });
    }
  }
}

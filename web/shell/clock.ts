import { signal } from '@preact/signals';
import { parseTime } from '../words/time.ts';

const RENEW_MS = 20_000;
/** A device's clock may differ from the server's by so much before ages are counted by the server's. */
const TOLERATED_SKEW_MS = 30_000;

let skewMs = 0;

/** The present, renewed every twenty seconds: enough for ages in words, and nothing on the page twitches. */
export const nowMs = signal(Date.now());

/** Takes the server's clock from an answer's `Date` header: a phone that is wrong by hours must not show wrong ages. */
export function syncClock(dateHeader: string | null): void {
  const serverMs = parseTime(dateHeader);
  if (serverMs === null) return;
  const skew = serverMs - Date.now();
  const wanted = Math.abs(skew) > TOLERATED_SKEW_MS ? skew : 0;
  if (Math.abs(wanted - skewMs) <= TOLERATED_SKEW_MS) return;
  skewMs = wanted;
  nowMs.value = Date.now() + skewMs;
}

/** Starts the clock; returns the way to stop it. */
export function startClock(): () => void {
  const timer = window.setInterval(() => {
    nowMs.value = Date.now() + skewMs;
  }, RENEW_MS);
  return () => window.clearInterval(timer);
}

import { Refusal } from './refusal.ts';
import type { Instant } from './store/records.ts';

/** Tells the time; tests give their own. */
export type Clock = () => Instant;

/** Nothing was sent from orbit before the first satellite, launched on this day. */
const FIRST_SATELLITE = Date.UTC(1957, 9, 4);
const DAY_MILLISECONDS = 86_400_000;

export function isoTime(at: Instant): string {
  return new Date(at).toISOString();
}

export function isoTimeOrNull(at: Instant | null): string | null {
  return at === null ? null : isoTime(at);
}

/** Reads a time that passed the schema. Refuses what no calendar has, such as a leap second. */
export function instantOf(iso: string, at: string): Instant {
  const instant = Date.parse(iso);
  if (Number.isNaN(instant)) {
    throw new Refusal('request-malformed', `${at} is ${iso}, which is no time that can be reckoned with`, { at });
  }
  return instant;
}

/** Whether something can have been received then; a day of wrong zone or clock is let pass. */
export function plausibleReception(instant: Instant, now: Instant): boolean {
  return instant >= FIRST_SATELLITE && instant <= now + DAY_MILLISECONDS;
}

/** Reads a time at which something was received. Refuses one that cannot be. */
export function receptionInstant(iso: string, at: string, now: Instant): Instant {
  const instant = instantOf(iso, at);
  if (!plausibleReception(instant, now)) {
    throw new Refusal(
      'time-impossible',
      `${at} is ${iso}; it may be from ${isoTime(FIRST_SATELLITE)} to a day after now (${isoTime(now)}): mend the clock or the date`,
      { at },
    );
  }
  return instant;
}

import { type RecordingStart, SENDER } from './start-time.ts';

/** What a sender says of the clocks of a group of recordings. */
export interface Corrections {
  /** When the first recording began; the others are moved by as much. Null to leave them. */
  readonly firstStart: string | null;
  /** Minutes that the zone is ahead of UTC, of times without a zone; null when not said. */
  readonly zoneMinutes: number | null;
  /** Added to every time: what the recorder's clock lacked. */
  readonly offsetSeconds: number;
}

export interface CorrectedStart {
  readonly start: RecordingStart | null;
  /** Whether the sender stands for it, rather than the file. */
  readonly corrected: boolean;
}

/** What is added to the source of a time. */
const CORRECTED = ', corrected';
/** A time that was told to the second. */
const TOLD_SECONDS = 1;

/**
 * The starts of a group of recordings, corrected as their sender says. A recording that says nothing of its start stays
 * without one, but for the first when its start is said.
 *
 * @param found what each recording says itself.
 */
export function correctStarts(found: readonly (RecordingStart | null)[], corrections: Corrections): CorrectedStart[] {
  const { firstStart } = corrections;
  const zoned = found.map((start): CorrectedStart => {
    if (start === null || start.zoneStated || corrections.zoneMinutes === null) return { start, corrected: false };
    return { start: told(start, Date.parse(start.iso) - 60_000 * corrections.zoneMinutes, true), corrected: true };
  });
  const first = zoned[0]?.start ?? null;
  const move =
    firstStart === null || first === null
      ? 1000 * corrections.offsetSeconds
      : Date.parse(firstStart) - Date.parse(first.iso) + 1000 * corrections.offsetSeconds;
  const zoneStated = firstStart !== null;
  return zoned.map(({ start, corrected }, i) => {
    if (start === null) {
      if (i > 0 || firstStart === null) return { start, corrected };
      return { start: told(null, Date.parse(firstStart) + 1000 * corrections.offsetSeconds, true), corrected: true };
    }
    if (move === 0 && !zoneStated) return { start, corrected };
    return { start: told(start, Date.parse(start.iso) + move, zoneStated || start.zoneStated), corrected: true };
  });
}

function told(from: RecordingStart | null, milliseconds: number, zoneStated: boolean): RecordingStart {
  const source = from === null ? SENDER : `${from.source.replace(CORRECTED, '')}${CORRECTED}`;
  const kept = from !== null && from.zoneStated === zoneStated ? from.uncertaintySeconds : TOLD_SECONDS;
  return { iso: new Date(milliseconds).toISOString(), source, uncertaintySeconds: kept, zoneStated };
}

/**
 * A zone as typed: `Z`, `UTC`, `+02:00`, `-0500`, `+9`.
 *
 * @returns minutes that it is ahead of UTC; null for anything else.
 */
export function zoneMinutes(text: string): number | null {
  if (/^(z|utc|gmt)$/i.test(text)) return 0;
  const [, sign, hours, minutes = '0'] = /^([+-])(\d{1,2})(?::?([0-5]\d))?$/.exec(text) ?? [];
  const ahead = (sign === '-' ? -1 : 1) * (60 * Number(hours) + Number(minutes));
  return sign === undefined || Math.abs(ahead) > 14 * 60 ? null : ahead;
}

const UNITS: Readonly<Record<string, number>> = { s: 1, min: 60, h: 3600, d: 86_400 };

/**
 * A time to add, as typed: `90`, `-1.5`, `+2h`, `-30 min`.
 *
 * @returns seconds; null for anything else.
 */
export function offsetSeconds(text: string): number | null {
  const [, number, unit = 's'] = /^([+-]?\d{1,9}(?:\.\d{1,3})?) ?(s|min|h|d)?$/.exec(text) ?? [];
  return number === undefined ? null : Number(number) * UNITS[unit];
}

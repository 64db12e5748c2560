import { InvalidArgumentError } from 'commander';
import { type RecordingStart, SENDER } from '../../../decoders/audio/start-time.ts';

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

/** A time that was told to the second. */
const TOLD_SECONDS = 1;

/**
 * The starts of a group of recordings, corrected as their sender says. A recording that says nothing of its start stays
 * without one, but for the first when its start is said.
 *
 * @param found what each recording says itself.
 */
export function correctStarts(
  found: readonly (RecordingStart | null)[],
  { firstStart, zoneMinutes, offsetSeconds }: Corrections,
): CorrectedStart[] {
  const zoned = found.map((start): CorrectedStart => {
    if (start === null || start.zoneStated || zoneMinutes === null) return { start, corrected: false };
    return { start: told(start, Date.parse(start.iso) - 60_000 * zoneMinutes, true), corrected: true };
  });
  const first = zoned[0]?.start ?? null;
  const move =
    firstStart === null || first === null
      ? 1000 * offsetSeconds
      : Date.parse(firstStart) - Date.parse(first.iso) + 1000 * offsetSeconds;
  const zoneStated = firstStart !== null;
  return zoned.map(({ start, corrected }, i) => {
    if (start === null) {
      if (i > 0 || firstStart === null) return { start, corrected };
      return { start: told(null, Date.parse(firstStart) + 1000 * offsetSeconds, true), corrected: true };
    }
    if (move === 0 && !zoneStated) return { start, corrected };
    return { start: told(start, Date.parse(start.iso) + move, zoneStated || start.zoneStated), corrected: true };
  });
}

function told(from: RecordingStart | null, milliseconds: number, zoneStated: boolean): RecordingStart {
  const source = from === null ? SENDER : `${from.source}, corrected`;
  const kept = from !== null && from.zoneStated === zoneStated ? from.uncertaintySeconds : TOLD_SECONDS;
  return { iso: new Date(milliseconds).toISOString(), source, uncertaintySeconds: kept, zoneStated };
}

/**
 * A zone as typed: `Z`, `UTC`, `+02:00`, `-0500`, `+9`.
 *
 * @returns minutes that it is ahead of UTC.
 * @throws InvalidArgumentError for anything else.
 */
export function parseZone(text: string): number {
  if (/^(z|utc|gmt)$/i.test(text)) return 0;
  const [, sign, hours, minutes = '0'] = /^([+-])(\d{1,2})(?::?([0-5]\d))?$/.exec(text) ?? [];
  const ahead = (sign === '-' ? -1 : 1) * (60 * Number(hours) + Number(minutes));
  if (sign === undefined || Math.abs(ahead) > 14 * 60) {
    throw new InvalidArgumentError('A zone is written as Z, +02:00 or -0500.');
  }
  return ahead;
}

const UNITS: Readonly<Record<string, number>> = { s: 1, min: 60, h: 3600, d: 86_400 };

/**
 * A time to add, as typed: `90`, `-1.5`, `+2h`, `-30min`.
 *
 * @returns seconds.
 * @throws InvalidArgumentError for anything else.
 */
export function parseOffset(text: string): number {
  const [, number, unit = 's'] = /^([+-]?\d{1,9}(?:\.\d{1,3})?)(s|min|h|d)?$/.exec(text) ?? [];
  if (number === undefined) throw new InvalidArgumentError('An offset is written as 90, -1.5, +2h or -30min.');
  return Number(number) * UNITS[unit];
}

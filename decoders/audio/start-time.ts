import { ascii, infoEntry } from './info-chunk.ts';
import { utcMilliseconds } from './moment.ts';
import type { AudioComment, AudioInfo } from './types.ts';

/** When a recording began, who says so, and how exactly. */
export interface RecordingStart {
  /** ISO 8601, UTC, milliseconds. */
  readonly iso: string;
  /** `sender`, `file name`, or the part of the container that says it, for instance `bext`. */
  readonly source: string;
  /**
   * The recording began so long before or after it at most, as far as the way of writing goes: a clock that was wrong
   * cannot be seen. Null when a sender does not say how exact a time is.
   */
  readonly uncertaintySeconds: number | null;
  /** False when no time zone stood there and UTC had to be assumed. */
  readonly zoneStated: boolean;
}

/** The source of what somebody who sends a recording says of it. */
export const SENDER = 'sender';

/** A time of day to the second may be cut or rounded. */
const SECOND = 1;
const MINUTE = 60;
/** Clocks on Earth show UTC-12 to UTC+14. */
export const ZONE_UNKNOWN_SECONDS = 14 * 3600;

/** @param writtenToSeconds the smallest step that the time was written in. */
export function startAt(
  milliseconds: number,
  source: string,
  zoneStated: boolean,
  writtenToSeconds: number,
): RecordingStart {
  const uncertaintySeconds = zoneStated ? writtenToSeconds : ZONE_UNKNOWN_SECONDS;
  return { iso: new Date(milliseconds).toISOString(), source, uncertaintySeconds, zoneStated };
}

/**
 * Start of recording from the body of a `bext` chunk (EBU Tech 3285): OriginationDate at 320, OriginationTime at 330,
 * with any of `-_:. ` or space between their items; TimeReference at 338, samples since midnight, refines the second
 * where it agrees to within two seconds (else it counts from the start of a session). No time zone is stored.
 *
 * Null when there is no valid date and time in it.
 */
export function startFromBext(body: Uint8Array, sampleRateHz: number): RecordingStart | null {
  if (body.length < 346) return null;
  const date = /^(\d{4})[-_: .](\d\d)[-_: .](\d\d)$/.exec(ascii(body, 320, 330));
  const time = /^(\d\d)[-_: .](\d\d)[-_: .](\d\d)$/.exec(ascii(body, 330, 338));
  if (date === null || time === null) return null;
  const midnight = utcMilliseconds(`${date[1]}-${date[2]}-${date[3]}T00:00:00.000Z`);
  const start = utcMilliseconds(`${date[1]}-${date[2]}-${date[3]}T${time[1]}:${time[2]}:${time[3]}.000Z`);
  if (midnight === null || start === null) return null;
  const view = new DataView(body.buffer, body.byteOffset, body.byteLength);
  const reference = view.getUint32(338, true) + view.getUint32(342, true) * 2 ** 32;
  const refined = midnight + Math.round((1000 * reference) / sampleRateHz);
  return startAt(Math.abs(refined - start) <= 2000 ? refined : start, 'bext', false, SECOND);
}

/**
 * Start of recording from the body of a `LIST` chunk of type INFO: its ICRD, where that is a date with a time in ISO
 * 8601. Null when there is none; a bare date does not say when a recording began.
 */
export function startFromInfo(body: Uint8Array): RecordingStart | null {
  const created = infoEntry(body, 'ICRD');
  return created === null ? null : startFromIso(created, 'LIST ICRD');
}

/** Names under which Vorbis comments state a start, surest first: `DATE` is the standard's, the others common practice. */
const COMMENT_NAMES = ['DATE', 'CREATION_TIME', 'DATETIME', 'RECORDINGDATE', 'TIMESTAMP'];

/** Start of recording from Vorbis comments, where one of the usual names holds a date with a time in ISO 8601. */
export function startFromComments(comments: readonly AudioComment[]): RecordingStart | null {
  const found = COMMENT_NAMES.flatMap((name) =>
    comments.flatMap((comment) =>
      comment.name === name ? (startFromIso(comment.value, `comment ${name}`) ?? []) : [],
    ),
  );
  return found.find(({ zoneStated }) => zoneStated) ?? found[0] ?? null;
}

/** What a container says of its start, in whichever way; null when it does not. */
export function startFromContainer({ startedAt, comments = [] }: AudioInfo): RecordingStart | null {
  if (startedAt === null) return startFromComments(comments);
  const { iso, source, zoneStated = true } = startedAt;
  return startAt(Date.parse(iso), source, zoneStated, startedAt.uncertaintySeconds ?? SECOND);
}

/** A whole text that is a date with a time in ISO 8601, extended form, a space in place of `T` allowed. */
export function startFromIso(text: string, source: string): RecordingStart | null {
  const parts = /^(\d{4}-\d\d-\d\d)[T ](\d\d:\d\d)(:\d\d)?([.,]\d{1,9})?\s*(Z|[+-]\d\d:?\d\d)?$/.exec(text.trim());
  if (parts === null) return null;
  const [, date, time, seconds, fraction = '', zone] = parts;
  if (seconds === undefined && fraction !== '') return null;
  const offset = zone === undefined ? 'Z' : zone.replace(/^([+-]\d\d)(\d\d)$/, '$1:$2');
  const clock = `${time}${seconds ?? ':00'}${fraction.replace(',', '.').slice(0, 4)}`;
  const milliseconds = utcMilliseconds(`${date}T${clock}${offset}`);
  if (milliseconds === null) return null;
  return startAt(milliseconds, source, zone !== undefined, seconds === undefined ? MINUTE : SECOND);
}

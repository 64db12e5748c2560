import { ascii, infoEntry } from './info-chunk.ts';

/** When a recording began, as its container states it. */
export interface StatedStart {
  /** ISO 8601, UTC, milliseconds. */
  readonly iso: string;
  /** Where it stood, for instance `bext`. */
  readonly source: string;
  /** False when no time zone stood there and UTC had to be assumed. */
  readonly zoneStated: boolean;
}

/**
 * Start of recording from the body of a `bext` chunk (EBU Tech 3285): OriginationDate at 320, OriginationTime at 330,
 * with any of `-_:. ` or space between their items; TimeReference at 338, samples since midnight, refines the second
 * where it agrees to within two seconds (else it counts from the start of a session). No time zone is stored.
 *
 * Null when there is no valid date and time in it.
 */
export function startFromBext(body: Uint8Array, sampleRateHz: number): StatedStart | null {
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
  const chosen = Math.abs(refined - start) <= 2000 ? refined : start;
  return { iso: new Date(chosen).toISOString(), source: 'bext', zoneStated: false };
}

/**
 * Start of recording from the body of a `LIST` chunk of type INFO: its ICRD, where that is a date with a time in ISO
 * 8601. Null when there is none; a bare date does not say when a recording began.
 */
export function startFromInfo(body: Uint8Array): StatedStart | null {
  const created = infoEntry(body, 'ICRD');
  return created === null ? null : startFromIso(created, 'LIST ICRD');
}

/** A date with a time in ISO 8601; null for anything else. */
export function startFromIso(text: string, source: string): StatedStart | null {
  const parts = /^(\d{4}-\d\d-\d\d)[T ](\d\d:\d\d:\d\d)([.,]\d{1,9})?\s*(Z|[+-]\d\d:\d\d)?$/.exec(text.trim());
  if (parts === null) return null;
  const [, date, time, fraction = '', zone] = parts;
  const milliseconds = utcMilliseconds(`${date}T${time}${fraction.replace(',', '.').slice(0, 4)}${zone ?? 'Z'}`);
  return milliseconds === null
    ? null
    : { iso: new Date(milliseconds).toISOString(), source, zoneStated: zone !== undefined };
}

/** Null unless the text is a real moment of the years that recordings come from. */
function utcMilliseconds(iso: string): number | null {
  const milliseconds = Date.parse(iso);
  if (!Number.isFinite(milliseconds)) return null;
  const day = Date.parse(`${iso.slice(0, 10)}T00:00:00Z`);
  // Some engines roll 30 February over to March.
  if (new Date(day).toISOString().slice(0, 10) !== iso.slice(0, 10)) return null;
  const year = Number(iso.slice(0, 4));
  return year >= 1980 && year < 2200 ? milliseconds : null;
}

/**
 * A moment written in full: `2031-05-04T09:12:07Z`, with a fraction or an offset.
 *
 * @returns milliseconds since 1970 UTC; null unless it is a real moment of the years that recordings come from.
 */
export function utcMilliseconds(iso: string): number | null {
  const milliseconds = Date.parse(iso);
  if (!Number.isFinite(milliseconds)) return null;
  const day = Date.parse(`${iso.slice(0, 10)}T00:00:00Z`);
  // Some engines roll 30 February over to March.
  if (!Number.isFinite(day) || new Date(day).toISOString().slice(0, 10) !== iso.slice(0, 10)) return null;
  const year = Number(iso.slice(0, 4));
  return year >= 1980 && year < 2200 ? milliseconds : null;
}

const MINUS = '\u2212';
const NARROW_SPACE = '\u202f';
const JOINED_SPACE = '\u00a0';

/** Significant digits of a number of which the definition says nothing. */
const USUAL_DIGITS = 4;

/**
 * A number as print shows it: a true minus, decimals as the definition says, else four significant digits, and never
 * fewer than stand before the point: counters are not rounded.
 * @param decimals digits after the point, from the mission definition
 */
export function numberText(value: number, decimals?: number): string {
  if (!Number.isFinite(value)) return 'no value';
  const whole = Math.trunc(Math.abs(value)).toString().length;
  const usual = (): string => String(Number(value.toPrecision(Math.max(USUAL_DIGITS, whole))));
  const text = decimals === undefined ? usual() : value.toFixed(decimals);
  return text.replace(/^-(?=[0.]*$)/, '').replace('-', MINUS);
}

/** A value with its unit, for instance `7.92 V`; states and texts stand as they are; null is said in words. */
export function valueText(value: number | string | null, unit: string | null, decimals?: number): string {
  if (value === null) return 'no value';
  const text = typeof value === 'number' ? numberText(value, decimals) : value;
  return unit === null || unit === '' || unit === '1' ? text : `${text}${NARROW_SPACE}${unitText(unit)}`;
}

/** A unit as people print it; UCUM's `Cel` becomes `°C`. */
export function unitText(unit: string): string {
  if (unit === 'Cel') return '°C';
  if (unit === 'Ohm') return 'Ω';
  return unit;
}

/** A number as a frame's field holds it, every digit of it. */
export function rawText(value: number): string {
  return String(value).replace('-', MINUS);
}

/** A level, `Eb/N0 6.3 dB`, that no line end tears apart. */
export function ebN0Text(ebN0Db: number): string {
  return `Eb/N0${JOINED_SPACE}${valueText(ebN0Db, 'dB', 1)}`;
}

/** A probability in words short enough for a line: never rounded up to certainty. */
export function confidenceText(confidence: number): string {
  return `${percentText(confidence)}${NARROW_SPACE}%`;
}

function percentText(confidence: number): string {
  if (confidence >= 1) return '100';
  if (confidence > 0.9995) return 'over 99.9';
  if (confidence > 0.99) return (Math.floor(confidence * 1000) / 10).toFixed(1);
  if (confidence < 0.01) return 'under 1';
  return String(Math.floor(confidence * 100));
}

/** Whole things counted: `1 frame`, `12 frames`, `no frames`. */
export function countText(count: number, one: string, many = `${one}s`): string {
  if (count === 0) return `no ${many}`;
  return `${count.toLocaleString('en-GB').replaceAll(',', NARROW_SPACE)} ${count === 1 ? one : many}`;
}

/** A size of a file, in the units that file managers show. */
export function bytesText(bytes: number): string {
  if (bytes < 1000) return `${bytes} B`;
  if (bytes < 1e6) return `${(bytes / 1e3).toFixed(0)} kB`;
  if (bytes < 1e9) return `${(bytes / 1e6).toFixed(1)} MB`;
  return `${(bytes / 1e9).toFixed(2)} GB`;
}

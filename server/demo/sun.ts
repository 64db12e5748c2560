/** A direction or place in the equatorial frame of date: x to the equinox, z to the north pole. */
export type Vector = readonly [x: number, y: number, z: number];

export const EARTH_RADIUS_KM = 6378.137;
const DEGREE = Math.PI / 180;
const DAY_MS = 86_400_000;
/** 2000-01-01T12:00:00Z. */
const J2000_MS = 946_728_000_000;

/** Days since J2000.0; the minute between the time scales does not matter here. */
export function daysSinceJ2000(timeMs: number): number {
  return (timeMs - J2000_MS) / DAY_MS;
}

/** Unit vector to the Sun: low-precision formula of the Astronomical Almanac, good to 0.01 degree from 1950 to 2050. */
export function sunDirection(timeMs: number): Vector {
  const n = daysSinceJ2000(timeMs);
  const anomaly = (357.529 + 0.98560028 * n) * DEGREE;
  const longitude = (280.459 + 0.98564736 * n + 1.915 * Math.sin(anomaly) + 0.02 * Math.sin(2 * anomaly)) * DEGREE;
  const obliquity = (23.439 - 0.00000036 * n) * DEGREE;
  return [Math.cos(longitude), Math.cos(obliquity) * Math.sin(longitude), Math.sin(obliquity) * Math.sin(longitude)];
}

/** Whether a satellite sees the Sun. The shadow is a cylinder: it leaves out 8 seconds of half-shadow at either edge. */
export function isLit(positionKm: Vector, sun: Vector): boolean {
  const along = dot(positionKm, sun);
  if (along >= 0) return true;
  return dot(positionKm, positionKm) - along * along > EARTH_RADIUS_KM * EARTH_RADIUS_KM;
}

export function dot(a: Vector, b: Vector): number {
  return a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
}

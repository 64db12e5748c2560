import { daysSinceJ2000, dot, EARTH_RADIUS_KM, sunDirection, type Vector } from './sun.ts';

const DEGREE = Math.PI / 180;
/** WGS-84. */
const GRAVITATION_KM3_S2 = 398600.4418;
const J2 = 1.08262668e-3;

/** A circular orbit, drifting as the Earth's flattening makes it. */
export interface Orbit {
  readonly epochMs: number;
  readonly heightKm: number;
  readonly inclinationDeg: number;
  /** Right ascension of the ascending node at the epoch. */
  readonly nodeDeg: number;
  /** Angle from the node to the satellite at the epoch. */
  readonly argumentDeg: number;
}

interface Rates {
  readonly nodeRadPerSecond: number;
  readonly argumentRadPerSecond: number;
}

/** Secular rates of a circular orbit, first order in J2 (Vallado, Fundamentals of Astrodynamics, section 9.6). */
export function ratesOf({ heightKm, inclinationDeg }: Orbit): Rates {
  const radius = EARTH_RADIUS_KM + heightKm;
  const motion = Math.sqrt(GRAVITATION_KM3_S2 / radius ** 3);
  const pull = 1.5 * J2 * (EARTH_RADIUS_KM / radius) ** 2;
  const sinInclination = Math.sin(inclinationDeg * DEGREE);
  return {
    nodeRadPerSecond: -motion * pull * Math.cos(inclinationDeg * DEGREE),
    argumentRadPerSecond: motion * (1 + pull * (3 - 4 * sinInclination ** 2)),
  };
}

export function positionKm(orbit: Orbit, timeMs: number): Vector {
  const rates = ratesOf(orbit);
  const seconds = (timeMs - orbit.epochMs) / 1000;
  const node = orbit.nodeDeg * DEGREE + rates.nodeRadPerSecond * seconds;
  const argument = orbit.argumentDeg * DEGREE + rates.argumentRadPerSecond * seconds;
  const inclination = orbit.inclinationDeg * DEGREE;
  const radius = EARTH_RADIUS_KM + orbit.heightKm;
  const inPlane = [radius * Math.cos(argument), radius * Math.sin(argument)];
  const tilted = inPlane[1] * Math.cos(inclination);
  return [
    inPlane[0] * Math.cos(node) - tilted * Math.sin(node),
    inPlane[0] * Math.sin(node) + tilted * Math.cos(node),
    inPlane[1] * Math.sin(inclination),
  ];
}

/** Angle of the Sun above the orbit's plane; it says how long eclipses are. */
export function betaDeg(orbit: Orbit, timeMs: number): number {
  const node = orbit.nodeDeg * DEGREE + (ratesOf(orbit).nodeRadPerSecond * (timeMs - orbit.epochMs)) / 1000;
  const inclination = orbit.inclinationDeg * DEGREE;
  const normal: Vector = [
    Math.sin(inclination) * Math.sin(node),
    -Math.sin(inclination) * Math.cos(node),
    Math.cos(inclination),
  ];
  return Math.asin(dot(normal, sunDirection(timeMs))) / DEGREE;
}

/** A place on the ground. The Earth is a sphere here: enough for who hears the satellite when. */
export interface Place {
  readonly latitudeDeg: number;
  readonly longitudeDeg: number;
}

/** Where a satellite stands as seen from a place. */
export interface Look {
  readonly elevationDeg: number;
  readonly rangeKm: number;
}

export function lookAt(satelliteKm: Vector, place: Place, timeMs: number): Look {
  // Greenwich mean sidereal time, linear part of the IAU 1982 formula.
  const greenwichDeg = 280.46061837 + 360.98564736629 * daysSinceJ2000(timeMs);
  const east = (greenwichDeg + place.longitudeDeg) * DEGREE;
  const north = place.latitudeDeg * DEGREE;
  const zenith: Vector = [Math.cos(north) * Math.cos(east), Math.cos(north) * Math.sin(east), Math.sin(north)];
  const up = dot(satelliteKm, zenith) - EARTH_RADIUS_KM;
  const rangeKm = Math.sqrt(dot(satelliteKm, satelliteKm) - EARTH_RADIUS_KM ** 2 - 2 * EARTH_RADIUS_KM * up);
  return { elevationDeg: Math.asin(up / rangeKm) / DEGREE, rangeKm };
}

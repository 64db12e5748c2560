import { describe, expect, test } from 'vitest';
import { betaDeg, lookAt, type Orbit, positionKm, ratesOf } from '../../../server/demo/orbit.ts';
import { EARTH_RADIUS_KM, isLit, sunDirection, type Vector } from '../../../server/demo/sun.ts';
// Closed forms for circular orbits, spherical Earth, cylindrical shadow (rows and formulas in the file).
import reference from '../../reference/sun.json' with { type: 'json' };

const orbit: Orbit = {
  epochMs: Date.parse('2026-06-01T00:00:00Z'),
  heightKm: 500,
  inclinationDeg: 75,
  nodeDeg: 40,
  argumentDeg: 10,
};
const periodMs = (2 * Math.PI * 1000) / ratesOf(orbit).argumentRadPerSecond;

describe('positionKm', () => {
  test('keeps its height', () => {
    for (let minute = 0; minute < 200; minute += 7) {
      const [x, y, z] = positionKm(orbit, orbit.epochMs + minute * 60_000);
      expect(Math.hypot(x, y, z)).toBeCloseTo(EARTH_RADIUS_KM + 500, 6);
    }
  });

  test('goes round in the period of its height, but for the flattening of the Earth', () => {
    const { period_s } = reference.orbits.find(({ h_km }) => h_km === 500) ?? { period_s: Number.NaN };
    expect(periodMs / 1000 / period_s).toBeCloseTo(1, 2);
  });

  // Vallado, Fundamentals of Astrodynamics: a Sun-synchronous orbit at 800 km is inclined by 98.6 degrees.
  test('turns with the Sun when it is inclined for that', () => {
    const node = ratesOf({ ...orbit, heightKm: 800, inclinationDeg: 98.6 }).nodeRadPerSecond;
    expect((node * 86_400 * 180) / Math.PI).toBeCloseTo(360 / 365.2422, 2);
  });
});

describe('betaDeg', () => {
  test('fits the share of each orbit that is dark', () => {
    for (const nodeDeg of [0, 50, 100, 150, 200, 250, 300]) {
      const turned = { ...orbit, nodeDeg };
      const steps = 20_000;
      let dark = 0;
      for (let i = 0; i < steps; i++) {
        const timeMs = orbit.epochMs + ((i - steps / 2) * periodMs) / steps;
        if (!isLit(positionKm(turned, timeMs), sunDirection(timeMs))) dark++;
      }
      // eclipse_vs_beta_formula in the reference file.
      const cosBeta = Math.cos((betaDeg(turned, orbit.epochMs) * Math.PI) / 180);
      const radius = EARTH_RADIUS_KM + 500;
      const argument = Math.sqrt(500 ** 2 + 2 * EARTH_RADIUS_KM * 500) / (radius * cosBeta);
      expect(dark / steps).toBeCloseTo(argument > 1 ? 0 : Math.acos(argument) / Math.PI, 2);
    }
  });
});

describe('lookAt', () => {
  test('straight above', () => {
    const timeMs = Date.parse('2000-01-01T12:00:00Z');
    // Greenwich sidereal time at J2000.0 (Vallado test data).
    const greenwich = (280.460618375 * Math.PI) / 180;
    const radius = EARTH_RADIUS_KM + 500;
    const above: Vector = [radius * Math.cos(greenwich), radius * Math.sin(greenwich), 0];
    const look = lookAt(above, { latitudeDeg: 0, longitudeDeg: 0 }, timeMs);
    expect(look.elevationDeg).toBeGreaterThan(89.9);
    expect(look.rangeKm).toBeCloseTo(500, 2);
  });

  // Slant range over a spherical Earth: sqrt((Re+h)^2 - Re^2 cos^2 el) - Re sin el; central angles from the same triangle.
  test.each([
    { elevation: 0, centralDeg: 21.98133, rangeKm: 2574.5168 },
    { elevation: 10, centralDeg: 14.04608, rangeKm: 1695.0912 },
    { elevation: 30, centralDeg: 6.57568, rangeKm: 909.5038 },
    { elevation: 60, centralDeg: 2.37692, rangeKm: 570.5169 },
  ])('at an elevation of $elevation degrees', ({ elevation, centralDeg, rangeKm }) => {
    const radius = EARTH_RADIUS_KM + 500;
    const look = lookAt([0, 0, radius], { latitudeDeg: 90 - centralDeg, longitudeDeg: 12 }, orbit.epochMs);
    expect(look.elevationDeg).toBeCloseTo(elevation, 3);
    expect(look.rangeKm).toBeCloseTo(rangeKm, 2);
  });
});

import { describe, expect, test } from 'vitest';
import { dot, isLit, sunDirection, type Vector } from '../../../server/demo/sun.ts';
// Astronomical Almanac low-precision formula; Curtis, ex. 12.8; Vallado, ex. 5-6 and companion data (rows in the file).
import reference from '../../reference/sun.json' with { type: 'json' };

const DEGREE = Math.PI / 180;

function direction(raDeg: number, decDeg: number): Vector {
  const across = Math.cos(decDeg * DEGREE);
  return [across * Math.cos(raDeg * DEGREE), across * Math.sin(raDeg * DEGREE), Math.sin(decDeg * DEGREE)];
}

function unit([x, y, z]: readonly number[]): Vector {
  const length = Math.hypot(x, y, z);
  return [x / length, y / length, z / length];
}

describe('sunDirection', () => {
  test.each(reference.sun_positions)('at $utc', ({ utc, almanac_formula, astropy_apparent_of_date }) => {
    const sun = sunDirection(Date.parse(utc));
    const angleTo = (ra: number, dec: number) => Math.acos(Math.min(1, dot(sun, direction(ra, dec)))) / DEGREE;
    expect(angleTo(almanac_formula.ra_deg, almanac_formula.dec_deg)).toBeLessThan(1e-4);
    expect(angleTo(astropy_apparent_of_date.ra_deg, astropy_apparent_of_date.dec_deg)).toBeLessThan(0.01);
  });
});

describe('isLit', () => {
  test.each(reference.shadow_cases)('$source', ({ r_sat_km, r_sun_km, umbra }) => {
    expect(isLit([r_sat_km[0], r_sat_km[1], r_sat_km[2]], unit(r_sun_km))).toBe(!umbra);
  });
});

import { ensure } from './ensure.ts';

/** A satellite's pass over a station: circular orbit, spherical Earth that does not turn. */
export interface Pass {
  readonly heightKm: number;
  /** Elevation at the closest approach, above 0 and up to 90. */
  readonly maxElevationDegrees: number;
  /** When it is closest, by the time of the recording. */
  readonly closestSeconds: number;
}

/** What a pass does to a carrier. */
export interface Doppler {
  /** Shift at a time. */
  hzAt(seconds: number): number;
  /** Turns of phase that the way adds, up to a constant: its slope is the shift. */
  turnsAt(seconds: number): number;
}

/** WGS-84 and the speed of light. */
const EARTH_RADIUS_KM = 6378.137;
const MU_KM3_S2 = 398_600.4418;
const LIGHT_KM_S = 299_792.458;

export const NO_DOPPLER: Doppler = { hzAt: () => 0, turnsAt: () => 0 };

/**
 * Doppler of a carrier over a whole pass and beyond: with the angle gamma between station and orbit plane, that between station
 * and satellite is theta with cos theta = cos gamma cos wt, and the range follows by the law of cosines.
 *
 * @throws FiveunitError `bad-pass`.
 */
export function passDoppler({ heightKm, maxElevationDegrees, closestSeconds }: Pass, carrierHz: number): Doppler {
  const isHeight = heightKm >= 100 && heightKm <= 50_000;
  ensure(isHeight, 'bad-pass', `the orbit is ${heightKm} km high; it may be 100 to 50000 km`);
  const isElevation = maxElevationDegrees > 0 && maxElevationDegrees <= 90;
  ensure(isElevation, 'bad-pass', `the highest elevation is ${maxElevationDegrees} degrees; it may be up to 90`);
  const radius = EARTH_RADIUS_KM + heightKm;
  const elevation = (maxElevationDegrees * Math.PI) / 180;
  const gamma = Math.acos((EARTH_RADIUS_KM * Math.cos(elevation)) / radius) - elevation;
  const rate = Math.sqrt(MU_KM3_S2 / radius ** 3);
  const across = 2 * EARTH_RADIUS_KM * radius * Math.cos(gamma);
  const squares = EARTH_RADIUS_KM ** 2 + radius ** 2;
  const rangeAt = (angle: number): number => Math.sqrt(squares - across * Math.cos(angle));
  return {
    hzAt(seconds) {
      const angle = rate * (seconds - closestSeconds);
      const rangeRate = (across * rate * Math.sin(angle)) / 2 / rangeAt(angle);
      return (-carrierHz * rangeRate) / LIGHT_KM_S;
    },
    turnsAt: (seconds) => (-carrierHz * rangeAt(rate * (seconds - closestSeconds))) / LIGHT_KM_S,
  };
}

/** Exact, by the definition of the metre. */
const LIGHT_METRES_PER_SECOND = 299_792_458;
/** Gravitational parameter, m^3/s^2, and equatorial radius, m, of the Earth: WGS 84. */
const EARTH_GM = 3.986_004_418e14;
const EARTH_RADIUS_METRES = 6_378_137;

/** A height at which many small satellites fly. */
export const USUAL_HEIGHT_METRES = 500_000;

export interface DopplerEstimate {
  readonly speedMetresPerSecond: number;
  /** Share of the speed that points at a listener when the satellite rises. */
  readonly shareAtHorizon: number;
  /** Up when it rises, down when it sets, in a pass that goes overhead; less in any other. */
  readonly mostHz: number;
  /** At the highest point of a pass straight overhead; all others change more slowly. */
  readonly steepestHzPerSecond: number;
}

/**
 * How the motion of a satellite shifts its carrier, estimated for a circular orbit over an Earth that stands still, by
 * orbital mechanics: speed v = sqrt(GM / (R + h)); at the horizon the share R / (R + h) of it points at the listener,
 * so that f v/c R/(R + h) is the most; overhead the shift changes by f v^2/(c h) R/(R + h). The Earth's rotation
 * changes the most by some 7 %.
 */
export function estimateDoppler(carrierHz: number, heightMetres = USUAL_HEIGHT_METRES): DopplerEstimate {
  const speed = Math.sqrt(EARTH_GM / (EARTH_RADIUS_METRES + heightMetres));
  const share = EARTH_RADIUS_METRES / (EARTH_RADIUS_METRES + heightMetres);
  const shift = (carrierHz * speed * share) / LIGHT_METRES_PER_SECOND;
  return {
    speedMetresPerSecond: speed,
    shareAtHorizon: share,
    mostHz: shift,
    steepestHzPerSecond: (shift * speed) / heightMetres,
  };
}

import { betaDeg, lookAt, type Orbit, type Place, positionKm } from './orbit.ts';

/** An invented listener, far at sea. */
export interface DemoStation extends Place {
  readonly callSign: string;
  readonly name: string;
  /** Share of the passes over it that it listens to. */
  readonly diligence: number;
  /** What its aerial and surroundings cost or gain against the usual, in dB. */
  readonly gainDb: number;
}

/** The last two stand so near each other that they hear the same transmissions. */
export const DEMO_STATIONS: readonly DemoStation[] = [
  { callSign: 'Q1ANK', name: 'Anchor Reef', latitudeDeg: 41, longitudeDeg: -41, diligence: 0.8, gainDb: 2 },
  { callSign: 'Q2BUOY', name: 'Blue Buoy', latitudeDeg: -34, longitudeDeg: 78, diligence: 0.7, gainDb: 0 },
  { callSign: 'Q3DRF', name: 'Drift Ice Camp', latitudeDeg: 78, longitudeDeg: -2, diligence: 0.45, gainDb: -2 },
  { callSign: 'Q4SLT', name: 'Salt Platform', latitudeDeg: 31, longitudeDeg: -158, diligence: 0.75, gainDb: 1 },
  { callSign: 'Q7FOG', name: 'Foghorn Spit', latitudeDeg: 40, longitudeDeg: 166, diligence: 0.6, gainDb: 1 },
  { callSign: 'Q8GUL', name: 'Gull Rock', latitudeDeg: -30, longitudeDeg: -7, diligence: 0.55, gainDb: -1 },
  { callSign: 'Q5LAG', name: 'Long Lagoon', latitudeDeg: -28, longitudeDeg: -112, diligence: 0.65, gainDb: 0 },
  { callSign: 'Q6TID', name: 'Tidewatch', latitudeDeg: -25, longitudeDeg: -118, diligence: 0.6, gainDb: -3 },
];

/** Below this even a good station hears nothing over the waves. */
export const LOWEST_ELEVATION_DEG = 4;

const HEIGHT_KM = 500;
const INCLINATION_DEG = 75;
const HISTORY_MS = 14 * 86_400_000;
const MINUTE_MS = 60_000;

/** At the end of the history the orbit has just turned so that it misses the Earth's shadow: the satellite is warm. */
const BETA_AT_END_DEG = 70;
/** The last pass is over for so long when the demo starts. */
const SINCE_LAST_PASS_MS = 12 * MINUTE_MS;
/** The last pass rises so high at least. */
const LAST_PASS_ELEVATION_DEG = 35;

/** The orbit that tells the same story whenever the demo is first started, and brings a fine pass just before. */
export function demoOrbit(nowMs: number): Orbit {
  const nodeDeg = demoNodeDeg(nowMs);
  const candidates = Array.from({ length: 72 }, (_, i) => {
    const orbit = orbitWith(nowMs, nodeDeg, i * 5);
    return { orbit, agoMs: lastFinePass(orbit, nowMs)?.agoMs ?? Infinity };
  });
  return candidates.reduce((best, candidate) => (candidate.agoMs < best.agoMs ? candidate : best)).orbit;
}

function orbitWith(epochMs: number, nodeDeg: number, argumentDeg: number): Orbit {
  return { epochMs, heightKm: HEIGHT_KM, inclinationDeg: INCLINATION_DEG, nodeDeg, argumentDeg };
}

/** The node at which eclipses are over at the end of the history, and longest at its start. */
function demoNodeDeg(nowMs: number): number {
  let chosen = 0;
  let least = Infinity;
  for (let nodeDeg = 0; nodeDeg < 360; nodeDeg += 0.5) {
    const orbit = orbitWith(nowMs, nodeDeg, 0);
    const missed = Math.abs(Math.abs(betaDeg(orbit, nowMs)) - BETA_AT_END_DEG);
    const startBeta = Math.abs(betaDeg(orbit, nowMs - HISTORY_MS));
    const cost = 20 * Math.max(0, missed - 0.5) + startBeta;
    if (cost < least) {
      least = cost;
      chosen = nodeDeg;
    }
  }
  return chosen;
}

/** The last time some station saw the satellite high up, in a pass that is over now. */
export function lastFinePass(orbit: Orbit, nowMs: number): { station: DemoStation; agoMs: number } | null {
  for (let agoMs = SINCE_LAST_PASS_MS; agoMs < 6 * 60 * MINUTE_MS; agoMs += MINUTE_MS) {
    const timeMs = nowMs - agoMs;
    const position = positionKm(orbit, timeMs);
    const station = DEMO_STATIONS.find((each) => lookAt(position, each, timeMs).elevationDeg > LAST_PASS_ELEVATION_DEG);
    if (station !== undefined) return { station, agoMs };
  }
  return null;
}

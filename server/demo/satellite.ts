import { Random } from '../../decoders/simulate/index.ts';
import { currentFor, type Pack, packOhms, restVolts } from './battery.ts';
import { type Orbit, positionKm } from './orbit.ts';
import { isLit, sunDirection, type Vector } from './sun.ts';

export type Mode = 'NOM' | 'PAY' | 'SAFE';

/** Everything that is true of the invented satellite at one moment, in plain units, before its sensors round it. */
export interface SatelliteState {
  readonly timeMs: number;
  readonly positionKm: Vector;
  readonly lit: boolean;
  readonly mode: Mode;
  readonly batteryVolts: number;
  /** Positive charges. */
  readonly batteryAmps: number;
  readonly batteryC: number;
  readonly bodyC: number;
  readonly panelC: number;
  readonly transmitterC: number;
  readonly busVolts: number;
  /** The four side panels, in the order in which the Sun comes round. */
  readonly panelAmps: readonly [number, number, number, number];
  readonly heaterOn: boolean;
  readonly payloadOn: boolean;
  readonly chargerHolds: boolean;
  readonly uptimeSeconds: number;
  readonly restarts: number;
}

/** What happens to the satellite besides its orbit, seconds after the start of the flight. */
export interface Story {
  /** The payload fails to switch off, and drains the battery until the satellite saves itself. */
  readonly payloadStuckFromSeconds: number;
  /** A particle upsets the computer, which starts again. */
  readonly upsetAtSeconds: number;
}

export const STEP_SECONDS = 10;

export const PACK: Pack = { cellsInSeries: 2, capacityAmpereHours: 2.6 };

const SOLAR_W_M2 = 1361;
/** Radiation of the Earth at the satellite's height, and sunlight it throws back, seen by the whole body (watts). */
const EARTH_W = 3.4;
const ALBEDO_W = 1.6;
const STEFAN_BOLTZMANN = 5.670374419e-8;

const BODY = { heatJoulePerK: 900, radiatingM2: 0.06, emissivity: 0.76, absorbingM2: 0.0152, absorptivity: 0.92 };
const BATTERY = { heatJoulePerK: 95, toBodyWattPerK: 0.085 };
const PANEL = { heatJoulePerK: 55, toBodyWattPerK: 0.12, areaM2: 0.008, absorptivity: 0.72, emissivity: 0.82 };
const TRANSMITTER = { heatJoulePerK: 25, toBodyWattPerK: 0.06 };

/** One panel square to the Sun, into its regulator. */
const PANEL_AMPS = 0.5;
const PANEL_VOLTS = 5.1;
const CHARGER_EFFICIENCY = 0.87;
/** The charger lets no more current in once the pack stands here. */
const CHARGER_VOLTS = 8.22;
const SPIN_SECONDS = 173;

const LOAD_W = { NOM: 1.45, PAY: 1.45, SAFE: 0.75 };
const PAYLOAD_W = 2.6;
const PAYLOAD_EVERY_SECONDS = 3 * 5690;
const PAYLOAD_SECONDS = 25 * 60;
const HEATER_W = 0.6;
const HEATER_ON_C = 4;
const HEATER_OFF_C = 8;
const SAFE_BELOW_VOLTS = 6.85;
const SAFE_AT_LEAST_SECONDS = 15 * 3600;
const SAFE_AFTER_UPSET_SECONDS = 50 * 60;
const NOMINAL_ABOVE_VOLTS = 7.9;

/**
 * Flies the invented satellite: orbit and shadow, spinning panels, a battery with rest voltage and resistance, four
 * bodies of heat, a heater, a payload, and the modes of its computer. Pure: the same arguments give the same flight.
 *
 * @param fromMs start of the flight; the first day or so settles temperatures and charge.
 * @returns one state every `STEP_SECONDS`, endless.
 */
export function* fly(orbit: Orbit, fromMs: number, story: Story, seed: number): Generator<SatelliteState, never> {
  const random = new Random(seed).branch('satellite');
  const spinPhase = random.uniform(0, 2 * Math.PI);
  let charge = 0.8;
  let batteryC = 12;
  let bodyC = 8;
  let panelC = 5;
  let transmitterC = 14;
  let heaterOn = false;
  let safeUntilMs = 0;
  let safe = false;
  let startedMs = fromMs - 19 * 86_400_000;
  let restarts = 3;
  let batteryVolts = restVolts(PACK, charge);
  let stuck = false;
  let stuckOver = false;
  let upsetOver = false;

  for (let step = 0; ; step++) {
    const seconds = step * STEP_SECONDS;
    const timeMs = fromMs + seconds * 1000;
    const position = positionKm(orbit, timeMs);
    const sun = sunDirection(timeMs);
    const lit = isLit(position, sun);

    const restart = (safeSeconds: number) => {
      safe = true;
      stuck = false;
      safeUntilMs = timeMs + safeSeconds * 1000;
      startedMs = timeMs;
      restarts++;
    };
    if (!stuckOver && seconds >= story.payloadStuckFromSeconds) {
      stuck = true;
      stuckOver = true;
    }
    if (!upsetOver && seconds >= story.upsetAtSeconds) {
      restart(SAFE_AFTER_UPSET_SECONDS);
      upsetOver = true;
    }
    if (!safe && batteryVolts < SAFE_BELOW_VOLTS) restart(SAFE_AT_LEAST_SECONDS);
    if (safe && timeMs >= safeUntilMs && batteryVolts > NOMINAL_ABOVE_VOLTS) safe = false;

    const payloadOn = !safe && (stuck || seconds % PAYLOAD_EVERY_SECONDS < PAYLOAD_SECONDS);
    const mode: Mode = safe ? 'SAFE' : payloadOn ? 'PAY' : 'NOM';
    if (batteryC < HEATER_ON_C) heaterOn = true;
    if (batteryC > HEATER_OFF_C) heaterOn = false;

    // Spin about the pole: what lies along the axis never reaches a side panel.
    const across = lit ? Math.hypot(sun[0], sun[1]) : 0;
    const spin = spinPhase + (2 * Math.PI * seconds) / SPIN_SECONDS;
    const panelAmps = [0, 1, 2, 3].map(
      (side) => PANEL_AMPS * Math.max(0, across * Math.cos(spin - (side * Math.PI) / 2)),
    ) as [number, number, number, number];
    // A step sees a twentieth of a turn; over the turns the four panels together give 4 / pi of one.
    const solarW = CHARGER_EFFICIENCY * PANEL_VOLTS * (1 - 0.002 * (panelC - 25)) * PANEL_AMPS * across * (4 / Math.PI);
    const loadW = LOAD_W[mode] + (payloadOn ? PAYLOAD_W : 0) + (heaterOn ? HEATER_W : 0);

    const rest = restVolts(PACK, charge);
    const ohms = packOhms(PACK, batteryC);
    const wanted = currentFor(solarW - loadW, rest, ohms);
    const allowed = Math.max(0, (CHARGER_VOLTS - rest) / ohms);
    const batteryAmps = Math.min(wanted, allowed);
    const chargerHolds = wanted > allowed;
    batteryVolts = rest + batteryAmps * ohms;
    charge = Math.min(1, Math.max(0, charge + (batteryAmps * STEP_SECONDS) / 3600 / PACK.capacityAmpereHours));

    yield {
      timeMs,
      positionKm: position,
      lit,
      mode,
      batteryVolts,
      batteryAmps,
      batteryC,
      bodyC,
      panelC,
      transmitterC,
      busVolts: 5.03 - 0.012 * loadW,
      panelAmps,
      heaterOn,
      payloadOn,
      chargerHolds,
      uptimeSeconds: Math.round((timeMs - startedMs) / 1000),
      restarts,
    };

    // Heat of this step; every body is slow enough for one explicit step.
    const toward = lit ? 1 : 0;
    const batteryToBodyW = BATTERY.toBodyWattPerK * (batteryC - bodyC);
    const panelToBodyW = PANEL.toBodyWattPerK * (panelC - bodyC);
    const transmitterToBodyW = TRANSMITTER.toBodyWattPerK * (transmitterC - bodyC);
    const bodyW =
      toward * (SOLAR_W_M2 * BODY.absorbingM2 * BODY.absorptivity + ALBEDO_W - solarW) +
      EARTH_W +
      0.75 * loadW +
      batteryToBodyW +
      panelToBodyW +
      transmitterToBodyW -
      BODY.emissivity * STEFAN_BOLTZMANN * BODY.radiatingM2 * (bodyC + 273.15) ** 4;
    const panelW =
      toward * SOLAR_W_M2 * PANEL.areaM2 * PANEL.absorptivity * (across / Math.PI) -
      panelToBodyW -
      PANEL.emissivity * STEFAN_BOLTZMANN * PANEL.areaM2 * ((panelC + 273.15) ** 4 - 255 ** 4);
    bodyC += (bodyW * STEP_SECONDS) / BODY.heatJoulePerK;
    panelC += (panelW * STEP_SECONDS) / PANEL.heatJoulePerK;
    batteryC +=
      ((batteryAmps ** 2 * ohms + (heaterOn ? HEATER_W : 0) - batteryToBodyW) * STEP_SECONDS) / BATTERY.heatJoulePerK;
    transmitterC += (((safe ? 0.25 : 0.4) - transmitterToBodyW) * STEP_SECONDS) / TRANSMITTER.heatJoulePerK;
  }
}

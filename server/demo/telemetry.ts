import type { Random } from '../../decoders/simulate/index.ts';
import type { SatelliteState } from './satellite.ts';

/** One transmission: which frame, and what its fields hold. */
export interface Telemetry {
  readonly frame: 'power' | 'thermal' | 'housekeeping';
  readonly values: Readonly<Record<string, number | string>>;
}

const CYCLE = ['power', 'thermal', 'power', 'housekeeping'] as const;
const COMMANDS_A_DAY = 6;

/** What the satellite's sensors and counters make of its state, frame after frame in a fixed cycle. */
export function telemetryOf(state: SatelliteState, count: number, random: Random): Telemetry {
  const frame = CYCLE[count % CYCLE.length];
  switch (frame) {
    case 'power':
      return { frame, values: { count, ...power(state, random) } };
    case 'thermal':
      return { frame, values: { count, ...thermal(state, random) } };
    case 'housekeeping':
      return { frame, values: { count, ...housekeeping(state, random) } };
  }
}

function power(state: SatelliteState, random: Random): Telemetry['values'] {
  const [xp, yp, xn, yn] = state.panelAmps.map((amps) => bounded(amps * 1000 + random.gaussian(), 0, 999));
  return {
    battery_mv: bounded(state.batteryVolts * 1000 + 3 * random.gaussian(), 0, 9999),
    battery_ma: bounded(state.batteryAmps * 1000 + 2 * random.gaussian(), -9999, 9999),
    panel_xp: xp,
    panel_yp: yp,
    panel_xn: xn,
    panel_yn: yn,
    status: statusBits(state),
    mode: state.mode,
  };
}

function thermal(state: SatelliteState, random: Random): Telemetry['values'] {
  return {
    battery_adc: bounded(thermistorCounts(state.batteryC) + 0.5 * random.gaussian(), 0, 4095),
    body_dc: tenths(state.bodyC, random),
    panel_dc: tenths(state.panelC, random),
    transmitter_dc: tenths(state.transmitterC, random),
  };
}

function housekeeping(state: SatelliteState, random: Random): Telemetry['values'] {
  return {
    uptime: state.uptimeSeconds,
    restarts: state.restarts,
    bus: bounded((state.busVolts + 0.002 * random.gaussian()) * 100, 0, 9999) / 100,
    commands: Math.floor((state.uptimeSeconds / 86_400) * COMMANDS_A_DAY) % 10_000,
    flags: 0x000f,
    mode: state.mode,
  };
}

function statusBits(state: SatelliteState): number {
  const highPower = state.mode !== 'SAFE';
  return [highPower, state.payloadOn, state.chargerHolds, state.heaterOn, state.lit].reduce(
    (bits, on, bit) => bits | (Number(on) << bit),
    0,
  );
}

/** Counts of a 12-bit converter over the lower arm of a divider: 10 kilohm against a thermistor, B = 3435 K. */
function thermistorCounts(temperatureC: number): number {
  const ohms = 10_000 * Math.exp(3435 * (1 / (temperatureC + 273.15) - 1 / 298.15));
  return (4095 * ohms) / (ohms + 10_000);
}

function tenths(temperatureC: number, random: Random): number {
  return bounded(temperatureC * 10 + 2 * random.gaussian(), -999, 999);
}

function bounded(value: number, low: number, high: number): number {
  return Math.min(high, Math.max(low, Math.round(value)));
}

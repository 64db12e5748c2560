/** Rest voltage of a lithium-ion cell against its charge, graphite against a layered oxide (common practice). */
const REST_VOLTS: readonly (readonly [charge: number, volts: number])[] = [
  [0, 3.0],
  [0.05, 3.42],
  [0.1, 3.5],
  [0.2, 3.59],
  [0.3, 3.64],
  [0.4, 3.69],
  [0.5, 3.76],
  [0.6, 3.85],
  [0.7, 3.94],
  [0.8, 4.02],
  [0.9, 4.1],
  [1, 4.19],
];

export interface Pack {
  readonly cellsInSeries: number;
  readonly capacityAmpereHours: number;
}

/** Voltage of the pack without load. `charge` is 0..1. */
export function restVolts(pack: Pack, charge: number): number {
  const bounded = Math.min(1, Math.max(0, charge));
  const above = REST_VOLTS.findIndex(([at]) => at >= bounded);
  const [toCharge, toVolts] = REST_VOLTS[Math.max(1, above)];
  const [fromCharge, fromVolts] = REST_VOLTS[Math.max(1, above) - 1];
  return pack.cellsInSeries * (fromVolts + ((toVolts - fromVolts) * (bounded - fromCharge)) / (toCharge - fromCharge));
}

/** Resistance of the pack; it doubles about every 25 degrees downwards (common practice). */
export function packOhms(pack: Pack, temperatureC: number): number {
  return pack.cellsInSeries * 0.055 * 2 ** ((25 - temperatureC) / 25);
}

/** Current that brings `watts` into the pack (negative: takes out), at the voltage that this very current makes. */
export function currentFor(watts: number, restVoltage: number, ohms: number): number {
  // watts = (rest + current * ohms) * current; a load beyond the pack's ability gets all that there is.
  const discriminant = Math.max(0, restVoltage ** 2 + 4 * ohms * watts);
  return (Math.sqrt(discriminant) - restVoltage) / (2 * ohms);
}

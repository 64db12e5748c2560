import type { CalibrationStep, Condition } from '../mission/types.ts';
import { withoutDust } from './rounding.ts';

/** Absolute zero of the Celsius scale, kelvin (SI Brochure). */
const ZERO_CELSIUS_KELVIN = 273.15;
const CELSIUS_25_KELVIN = ZERO_CELSIUS_KELVIN + 25;

// IEC 60751, Callendar-Van Dusen: R = R0 (1 + A t + B t^2), below 0 °C with + C (t - 100) t^3; valid -200 to 850 °C.
const PT_A = 3.9083e-3;
const PT_B = -5.775e-7;
const PT_C = -4.183e-12;
const PT_LOWEST_C = -200;
const PT_HIGHEST_C = 850;

/**
 * Runs a raw number through calibration steps. Null when a step has no value there: outside the points of a table, a
 * resistance that a divider cannot have, or a `choose` none of whose conditions is known to hold.
 */
export function calibrate(
  steps: readonly CalibrationStep[],
  raw: number,
  holds: (condition: Condition) => boolean | null,
): number | null {
  let value: number | null = raw;
  for (const step of steps) {
    value = applyStep(step, value, holds);
    if (value === null || !Number.isFinite(value)) return null;
  }
  return withoutDust(value);
}

/** The unit that a step always gives; null for those that give whatever their numbers make of it. */
export function stepUnit(step: CalibrationStep): 'V' | 'Ohm' | 'Cel' | null {
  switch (step.step) {
    case 'adc':
      return 'V';
    case 'divider':
      return 'Ohm';
    case 'thermistor':
    case 'steinhartHart':
    case 'platinum':
      return 'Cel';
    default:
      return null;
  }
}

function applyStep(
  step: CalibrationStep,
  value: number,
  holds: (condition: Condition) => boolean | null,
): number | null {
  switch (step.step) {
    case 'polynomial':
      return step.coefficients.reduceRight((sum, coefficient) => sum * value + coefficient, 0);
    case 'points':
      return interpolate(step.points, value);
    case 'adc':
      return (value / (2 ** step.bits - 1)) * step.referenceVolts;
    case 'ratio':
      return value * step.ratio;
    case 'divider':
      return sensorOhms(step, value);
    case 'thermistor':
      return value > 0
        ? 1 / (1 / CELSIUS_25_KELVIN + Math.log(value / step.ohmsAt25C) / step.betaKelvin) - ZERO_CELSIUS_KELVIN
        : null;
    case 'steinhartHart':
      return steinhartHartCelsius(step.coefficients, value);
    case 'platinum':
      return platinumCelsius(value / step.ohmsAt0C);
    case 'choose': {
      for (const choice of step.choices) {
        const chosen = choice.when === undefined ? true : holds(choice.when);
        if (chosen === null) return null;
        if (chosen) return calibrate(choice.steps, value, holds);
      }
      return null;
    }
  }
}

/** Straight lines between points of ascending x; null outside. */
function interpolate(points: readonly (readonly [number, number])[], x: number): number | null {
  for (let i = 1; i < points.length; i++) {
    const [x0, y0] = points[i - 1];
    const [x1, y1] = points[i];
    if (x >= x0 && x <= x1) return y0 + ((y1 - y0) * (x - x0)) / (x1 - x0);
  }
  return null;
}

/** Resistance of the sensor of a voltage divider from the voltage at its tap. */
function sensorOhms(divider: Extract<CalibrationStep, { step: 'divider' }>, volts: number): number | null {
  const { fixedOhms, supplyVolts, sensorSide } = divider;
  if (volts < 0 || volts > supplyVolts) return null;
  const [overSensor, overFixed] = sensorSide === 'low' ? [volts, supplyVolts - volts] : [supplyVolts - volts, volts];
  return overFixed > 0 ? (fixedOhms * overSensor) / overFixed : null;
}

/** Steinhart, Hart, Deep-Sea Research 15 (1968) 497: 1/T = a + b ln R + c (ln R)^3. */
function steinhartHartCelsius([a, b, c]: readonly [number, number, number], ohms: number): number | null {
  if (!(ohms > 0)) return null;
  const x = Math.log(ohms);
  const reciprocal = a + b * x + c * x ** 3;
  return reciprocal > 0 ? 1 / reciprocal - ZERO_CELSIUS_KELVIN : null;
}

/** Temperature of a platinum resistor from R / R0; null outside the range of IEC 60751. */
function platinumCelsius(ratio: number): number | null {
  if (!(ratio >= platinumRatio(PT_LOWEST_C) && ratio <= platinumRatio(PT_HIGHEST_C))) return null;
  let celsius = (-PT_A + Math.sqrt(PT_A * PT_A - 4 * PT_B * (1 - ratio))) / (2 * PT_B);
  if (ratio >= 1) return celsius;
  // The quadratic is off by at most 2.4 K at -200 °C; Newton's steps settle to rounding in four.
  for (let i = 0; i < 6; i++) {
    const slope = PT_A + 2 * PT_B * celsius + PT_C * (4 * celsius ** 3 - 300 * celsius ** 2);
    celsius -= (platinumRatio(celsius) - ratio) / slope;
  }
  return celsius;
}

function platinumRatio(celsius: number): number {
  const cubic = celsius < 0 ? PT_C * (celsius - 100) * celsius ** 3 : 0;
  return 1 + PT_A * celsius + PT_B * celsius ** 2 + cubic;
}

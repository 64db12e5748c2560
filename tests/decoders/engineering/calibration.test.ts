import { describe, expect, test } from 'vitest';
import { calibrate } from '../../../decoders/engineering/calibration.ts';
import type { CalibrationStep } from '../../../decoders/mission/types.ts';
// IEC 60751, Steinhart and Hart 1968, and data sheets named block by block in the file.
import reference from '../../reference/temperature.json' with { type: 'json' };

const run = (raw: number, ...steps: CalibrationStep[]) => calibrate(steps, raw, () => null);
const number = (raw: number, ...steps: CalibrationStep[]) => run(raw, ...steps) ?? Number.NaN;

describe('platinum (IEC 60751)', () => {
  const pt100: CalibrationStep = { step: 'platinum', ohmsAt0C: 100 };
  const pt1000: CalibrationStep = { step: 'platinum', ohmsAt0C: 1000 };

  test.each(reference.pt_table)('$t_c °C', ({ t_c, pt100_ohm_table, pt100_ohm_cvd, pt1000_ohm_cvd }) => {
    // The computed columns are printed to 5 (Pt100) and 4 digits: 2e-5 K; the table to 0.01 ohm, half of it is 0.013 K.
    expect(Math.abs(number(pt100_ohm_cvd, pt100) - t_c)).toBeLessThan(2e-5);
    expect(Math.abs(number(pt1000_ohm_cvd, pt1000) - t_c)).toBeLessThan(2e-5);
    expect(Math.abs(number(pt100_ohm_table, pt100) - t_c)).toBeLessThan(0.015);
  });

  test.each(reference.pt_inverse)('$pt100_ohm ohm', ({ pt100_ohm, t_c }) => {
    expect(number(pt100_ohm, pt100)).toBeCloseTo(t_c, 6);
  });

  test('-200 °C is 18.52 ohm (table of IEC 60751); nothing outside -200 to 850 °C', () => {
    expect(number(18.53, pt100)).toBeCloseTo(-200, 1);
    expect(run(18.5, pt100)).toBeNull();
    expect(number(390.48, pt100)).toBeCloseTo(850, 1);
    expect(run(391, pt100)).toBeNull();
    expect(run(0, pt100)).toBeNull();
  });
});

describe('thermistor', () => {
  test.each(reference.beta)('beta $beta_k at $t_c °C', ({ r25_ohm, beta_k, t_c, r_ohm }) => {
    expect(number(r_ohm, { step: 'thermistor', betaKelvin: beta_k, ohmsAt25C: r25_ohm })).toBeCloseTo(t_c, 5);
  });

  test.each(reference.beta_inverse)('beta $beta_k at $r_ohm ohm', ({ r25_ohm, beta_k, r_ohm, t_c }) => {
    expect(number(r_ohm, { step: 'thermistor', betaKelvin: beta_k, ohmsAt25C: r25_ohm })).toBeCloseTo(t_c, 4);
  });

  const { A, B, C } = reference.steinhart_hart_10k_common;
  test.each(reference.steinhart_hart_10k_common.points)('Steinhart-Hart at $r_ohm ohm', ({ r_ohm, t_c }) => {
    expect(number(r_ohm, { step: 'steinhartHart', coefficients: [A, B, C] })).toBeCloseTo(t_c, 4);
  });

  const fit = reference.steinhart_hart_3point;
  test.each(reference.steinhart_hart_check)('three-point fit at $r_ohm ohm', ({ r_ohm, t_c_fit3, t_c_published }) => {
    const celsius = number(r_ohm, { step: 'steinhartHart', coefficients: [fit.A, fit.B, fit.C] });
    expect(Math.abs(celsius - t_c_fit3)).toBeLessThan(1e-4);
    // "less than 0.01 °C in this range", as the instrument manual states.
    expect(Math.abs(celsius - t_c_published)).toBeLessThan(0.01);
  });

  test('no resistance, no temperature', () => {
    for (const ohms of [0, -5]) {
      expect(run(ohms, { step: 'thermistor', betaKelvin: 3380, ohmsAt25C: 10_000 })).toBeNull();
      expect(run(ohms, { step: 'steinhartHart', coefficients: [A, B, C] })).toBeNull();
    }
  });
});

describe('divider and converter', () => {
  test.each(reference.divider_adc)('$r_ntc_ohm ohm', ({ r_ntc_ohm, r_fixed_ohm, ntc_side, v_ratio, ...adc }) => {
    expect(ntc_side).toBe('low');
    const low: CalibrationStep = { step: 'divider', fixedOhms: r_fixed_ohm, supplyVolts: 3.3, sensorSide: 'low' };
    const high: CalibrationStep = { ...low, sensorSide: 'high' };
    expect(number(v_ratio * 3.3, low) / r_ntc_ohm).toBeCloseTo(1, 4);
    expect(number((1 - v_ratio) * 3.3, high) / r_ntc_ohm).toBeCloseTo(1, 4);
    for (const [bits, counts] of [
      [8, adc.adc8],
      [10, adc.adc10],
      [12, adc.adc12],
    ] as const) {
      // Within half a count of the stated ratio.
      expect(Math.abs(number(counts, { step: 'adc', bits, referenceVolts: 1 }) - v_ratio)).toBeLessThanOrEqual(
        0.5 / (2 ** bits - 1) + 1e-6,
      );
    }
  });

  test('an open or shorted divider has no resistance, or none at all', () => {
    const low: CalibrationStep = { step: 'divider', fixedOhms: 10_000, supplyVolts: 3.3, sensorSide: 'low' };
    expect(run(0, low)).toBe(0);
    expect(run(3.3, low)).toBeNull();
    expect(run(3.4, low)).toBeNull();
    expect(run(-0.1, low)).toBeNull();
    expect(run(0, { ...low, sensorSide: 'high' })).toBeNull();
    expect(run(3.3, { ...low, sensorSide: 'high' })).toBe(0);
  });
});

describe('arithmetic steps', () => {
  test('polynomial, ascending', () => {
    expect(run(2, { step: 'polynomial', coefficients: [1, 10, 100] })).toBe(421);
    expect(run(7921, { step: 'polynomial', coefficients: [0, 0.001] })).toBeCloseTo(7.921, 12);
  });

  test('points: straight lines between, ends included, nothing outside', () => {
    const points: CalibrationStep = {
      step: 'points',
      points: [
        [0, 0],
        [10, 100],
        [20, 0],
      ],
    };
    expect([0, 5, 10, 15, 20].map((x) => run(x, points))).toEqual([0, 50, 100, 50, 0]);
    expect([-0.1, 20.1].map((x) => run(x, points))).toEqual([null, null]);
  });

  test('steps follow each other; a ratio multiplies', () => {
    expect(run(1023, { step: 'adc', bits: 10, referenceVolts: 3.3 }, { step: 'ratio', ratio: 2 })).toBeCloseTo(6.6, 12);
    expect(run(3, { step: 'ratio', ratio: 2 }, { step: 'polynomial', coefficients: [1, 1] })).toBe(7);
  });

  test('what is no finite number is no value', () => {
    expect(run(1e200, { step: 'polynomial', coefficients: [0, 0, 1] })).toBeNull();
  });
});

describe('choose', () => {
  const choose: CalibrationStep = {
    step: 'choose',
    choices: [
      { when: { parameter: 'range', equals: 1 }, steps: [{ step: 'ratio', ratio: 10 }] },
      { when: { parameter: 'range', equals: 2 }, steps: [{ step: 'ratio', ratio: 100 }] },
      { steps: [] },
    ],
  };
  test('takes the first that holds, else the one without condition', () => {
    const chosen = (range: number) => calibrate([choose], 5, ({ equals }) => equals === range);
    expect([1, 2, 3].map(chosen)).toEqual([50, 500, 5]);
  });

  test('an unknown condition leaves no value', () => {
    expect(calibrate([choose], 5, () => null)).toBeNull();
    expect(calibrate([{ ...choose, choices: choose.choices.slice(0, 1) }], 5, () => false)).toBeNull();
  });
});

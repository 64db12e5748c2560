import { describe, expect, test } from 'vitest';
import { rangeOf } from '../../../decoders/engineering/range.ts';
import { type Json, missionOf, withLayout } from '../mission/definition.ts';

const layout: Json[] = [
  { field: 'count', digits: 5, wraps: 65536 },
  { text: ' ' },
  { field: 'volts', digits: 2, decimals: 2, sign: 'minus' },
  { text: ' ' },
  { field: 'adc', hex: 3 },
  { field: 'w', hex: 4 },
  { field: 'mode', oneOf: ['A', 'B'] },
];

function range(parameter: Json, ...others: Json[]) {
  const mission = missionOf(withLayout(layout, [{ id: 'p', ...parameter }, ...others]));
  return rangeOf(mission, mission.parameters[0]);
}

describe('rangeOf', () => {
  test('raw values: a counter, a signed number with decimals, bits, a joined word', () => {
    expect(range({ from: 'count' })).toEqual({ low: 0, high: 65535, resolution: { finest: 1, coarsest: 1 } });
    expect(range({ from: 'volts' })).toMatchObject({ low: -99.99, high: 99.99 });
    expect(range({ from: 'volts' })?.resolution?.finest).toBe(0.01);
    expect(range({ from: 'adc', bits: [0, 3] })).toMatchObject({ low: 0, high: 15 });
    expect(range({ from: 'adc', bits: [0, 3], signed: true })).toMatchObject({ low: -8, high: 7 });
    expect(range({ from: { join: ['adc', 'w'] } })).toMatchObject({ low: 0, high: 2 ** 28 - 1 });
    expect(range({ from: { join: ['w'], as: 'bcd' } })).toMatchObject({ low: 0, high: 9999 });
    expect(range({ from: 'mode' })).toBeNull();
  });

  test('through a thermistor the steps differ', () => {
    const calibration = [
      { adc: { bits: 12, referenceVolts: 3.3 } },
      { divider: { fixedOhms: 10_000, supplyVolts: 3.3, sensorSide: 'low' } },
      { thermistor: { betaKelvin: 3435, ohmsAt25C: 10_000 } },
    ];
    const found = range({ from: 'adc', unit: 'Cel', calibration });
    expect(found?.low).toBeLessThan(-90);
    expect(found?.high).toBeGreaterThan(300);
    // Near 25 °C one count is 3.3 V / 4095 over beta / T^2 / 4: 0.025 K.
    expect(found?.resolution?.finest).toBeGreaterThan(0.02);
    expect(found?.resolution?.finest).toBeLessThan(0.03);
    expect(found?.resolution?.coarsest).toBeGreaterThan(5);
  });

  test('over every choice and every validity', () => {
    const choose = [{ when: { parameter: 'm', equals: 'A' }, steps: { ratio: 10 } }, { steps: { ratio: -1 } }];
    expect(range({ from: 'adc', calibration: { choose } }, { id: 'm', from: 'mode' })).toMatchObject({
      low: -4095,
      high: 40950,
    });
    const dated = [{ steps: { ratio: 1 } }, { steps: { ratio: 2 }, validFrom: '2026-03-01' }];
    expect(range({ from: 'adc', calibration: dated })).toMatchObject({ low: 0, high: 8190 });
  });

  test('outside a table there is nothing', () => {
    expect(
      range({
        from: 'adc',
        calibration: {
          points: [
            [100, 5],
            [200, -5],
          ],
        },
      }),
    ).toMatchObject({ low: -5, high: 5 });
  });

  test('derived from operands', () => {
    const u = { id: 'u', from: 'volts' };
    const n = { id: 'n', from: 'adc', calibration: { polynomial: [1, 1] } };
    expect(range({ derive: { product: ['u', 'n'] } }, u, n)).toMatchObject({
      low: -99.99 * 4096,
      high: 99.99 * 4096,
      resolution: null,
    });
    expect(range({ derive: { difference: ['n', 'u'] } }, u, n)?.high).toBeCloseTo(4195.99, 9);
    expect(range({ derive: { quotient: ['u', 'n'] } }, u, n)).toMatchObject({ low: -99.99, high: 99.99 });
    expect(range({ derive: { quotient: ['n', 'u'] } }, u, n)).toBeNull();
    expect(range({ derive: { scale: ['u', -2] } }, u)).toMatchObject({ low: -199.98, high: 199.98 });
    expect(range({ derive: { mean: ['u', 'n'] } }, u, n)?.low).toBeCloseTo(-49.495, 9);
    expect(range({ derive: { least: ['u', 'n'] } }, u, n)).toMatchObject({ low: -99.99, high: 99.99 });
    expect(range({ derive: { greatest: ['u', 'n'] } }, u, n)).toMatchObject({ low: 1, high: 4096 });
    expect(range({ derive: { sum: ['u', 'n'] }, calibration: { ratio: 0.5 } }, u, n)?.high).toBeCloseTo(2097.995, 9);
  });
});

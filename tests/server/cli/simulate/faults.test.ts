import { describe, expect, test } from 'vitest';
import { type FaultOptions, faultsOf } from '../../../../server/cli/simulate/faults.ts';

const none: FaultOptions = { drift: 0, clockPpm: 0, imbalance: 0, speechLevel: 6, speechOver: false };

describe('faultsOf', () => {
  test('is a clean channel when nothing is asked for', () => {
    expect(faultsOf(none, null)).toEqual({ driftHzPerSecond: 0, clockPpm: 0, imbalanceDb: 0 });
  });

  test('takes everything that is given', () => {
    const speech = { samples: Float32Array.of(1), sampleRateHz: 8000 };
    const options = { ...none, ebN0: 7, drift: 2, clockPpm: 30, imbalance: -3, speechLevel: 3, speechOver: true };
    expect(faultsOf({ ...options, fading: 'selective', fadingSpread: 1, ricianK: 6 }, speech)).toEqual({
      ebN0Db: 7,
      driftHzPerSecond: 2,
      clockPpm: 30,
      imbalanceDb: -3,
      fading: { kind: 'selective', spreadHz: 1, ricianKDb: 6 },
      speech: { ...speech, levelDb: 3, overBursts: true },
    });
    expect(faultsOf({ ...none, fmCnr: 38, fmIf: 9000, fmDeviation: 2500 }, null)).toMatchObject({
      fmLink: { cn0DbHz: 38, ifBandwidthHz: 9000, peakDeviationHz: 2500 },
    });
  });

  test('has usual values for what is left out', () => {
    expect(faultsOf({ ...none, fading: 'flat', fmCnr: 38 }, null)).toMatchObject({
      fading: { kind: 'flat', spreadHz: 0.2 },
      fmLink: { cn0DbHz: 38, ifBandwidthHz: 15_000, peakDeviationHz: 3000 },
    });
  });

  test.each([
    [{ fadingSpread: 1 }, '--fading-spread 1 does nothing alone; give --fading flat or --fading selective as well'],
    [{ ricianK: 0 }, '--rician-k 0 does nothing alone; give --fading flat or --fading selective as well'],
    [{ fmIf: 9000 }, '--fm-if 9000 does nothing alone; give --fm-cnr as well'],
    [{ fmDeviation: 2500 }, '--fm-deviation 2500 does nothing alone; give --fm-cnr as well'],
  ])('refuses %j alone', (given, message) => {
    expect(() => faultsOf({ ...none, ...given }, null)).toThrow(
      expect.objectContaining({ code: 'missing-option', message }),
    );
  });
});

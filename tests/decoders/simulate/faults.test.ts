import { describe, expect, it } from 'vitest';
import { checkFaults, describeFaults } from '../../../decoders/simulate/faults.ts';

const fmLink = { cn0DbHz: 38, ifBandwidthHz: 15_000, peakDeviationHz: 3000 };

describe('checkFaults', () => {
  it('lets through what can be together', () => {
    checkFaults({});
    checkFaults({ ebN0Db: 7, imbalanceDb: 3, fading: { kind: 'selective', spreadHz: 1 } });
    checkFaults({ fmLink, imbalanceDb: -3, fading: { kind: 'flat', spreadHz: 1, ricianKDb: 6 } });
  });

  it.each([
    ['faults-conflict', { fmLink, ebN0Db: 7 }],
    ['faults-conflict', { fmLink, fading: { kind: 'selective', spreadHz: 1 } }],
    ['bad-fm-link', { fmLink: { ...fmLink, ifBandwidthHz: 10 } }],
    ['bad-fading', { fading: { kind: 'flat', spreadHz: 0 } }],
    ['bad-tones', { imbalanceDb: 100 }],
  ] as const)('refuses with %s %j', (code, faults) => {
    expect(() => checkFaults(faults)).toThrow(expect.objectContaining({ code }));
  });
});

describe('describeFaults', () => {
  it('names the faults with their values', () => {
    expect(describeFaults({})).toBe('no noise, drift 0 Hz/s, clock 0 ppm');
    expect(
      describeFaults({ ebN0Db: 7, imbalanceDb: 3, fading: { kind: 'selective', spreadHz: 0.2, ricianKDb: 6 } }),
    ).toBe('Eb/N0 7 dB, drift 0 Hz/s, clock 0 ppm, mark over space 3 dB, selective Rician (K 6 dB) fading of 0.2 Hz');
    expect(describeFaults({ fmLink, fading: { kind: 'flat', spreadHz: 1 } })).toBe(
      'FM C/N0 38 dB-Hz, IF 15000 Hz, deviation 3000 Hz, drift 0 Hz/s, clock 0 ppm, flat Rayleigh fading of 1 Hz',
    );
  });
});

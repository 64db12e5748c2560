import type { Gain } from './gain.ts';
import type { ComplexSource, Source } from './source.ts';

export interface FmTransmission {
  /** What modulates: one is the peak deviation. */
  readonly modulation: Source;
  /** The carrier as it arrives: zero where the sender is off, else its amplitude (1 = nominal power 1) and path. */
  readonly carrier: Gain;
  readonly peakDeviationHz: number;
  readonly sampleRateHz: number;
}

/** A carrier whose frequency the modulation shifts, about frequency zero. */
export function fmTransmitter(options: FmTransmission): ComplexSource {
  const { modulation, carrier, peakDeviationHz, sampleRateHz } = options;
  const turnsPerUnit = peakDeviationHz / sampleRateHz;
  let turns = 0;
  let position = 0;
  return {
    fill(re, im) {
      modulation.fill(re);
      for (let i = 0; i < re.length; i++, position++) {
        turns += turnsPerUnit * re[i];
        turns -= Math.floor(turns);
        carrier.moveTo(position / sampleRateHz);
        if (carrier.re === 0 && carrier.im === 0) {
          re[i] = 0;
          im[i] = 0;
          continue;
        }
        const c = Math.cos(2 * Math.PI * turns);
        const s = Math.sin(2 * Math.PI * turns);
        re[i] = carrier.re * c - carrier.im * s;
        im[i] = carrier.re * s + carrier.im * c;
      }
    },
  };
}

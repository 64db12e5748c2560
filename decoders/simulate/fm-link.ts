import { ensure } from './ensure.ts';
import { fmReceiver } from './fm-receiver.ts';
import { fmTransmitter } from './fm-transmitter.ts';
import type { Gain } from './gain.ts';
import { complexNoiseSigma } from './noise.ts';
import type { Random } from './random.ts';
import type { ComplexSource, Source } from './source.ts';

/** A carrier that the tones modulate in frequency, and its receiver. */
export interface FmLink {
  /** Power of the carrier over the one-sided noise density, dB-Hz. */
  readonly cn0DbHz: number;
  /** Width of the receiver's IF filter. */
  readonly ifBandwidthHz: number;
  /** How far a tone shifts the carrier at its peaks, when both tones are equally strong. */
  readonly peakDeviationHz: number;
}

export interface FmLinkOptions extends FmLink {
  /** Makes what modulates, at the rate of the band; one is the peak deviation. */
  readonly modulationAt: (bandRateHz: number) => Source;
  /** The carrier as it arrives: zero while the sender is off; power one is what `cn0DbHz` speaks of. */
  readonly carrier: Gain;
  readonly audioRateHz: number;
  /** Audio at the peak deviation. */
  readonly amplitude: number;
  /** Of the noise. */
  readonly random: Random;
}

/** Rate of the band over the widest thing in it, so that the discriminator seldom takes a turn for one the other way. */
const OVERSAMPLING = 6;

/**
 * What the discriminator of an FM receiver gives: above the threshold the modulation in noise that rises with frequency,
 * below it more and more clicks, and loud noise while there is no carrier.
 *
 * @throws FiveunitError `bad-fm-link` for a link that cannot be.
 */
export function fmLink(options: FmLinkOptions): Source {
  checkFmLink(options);
  const { cn0DbHz, ifBandwidthHz, peakDeviationHz, modulationAt, carrier, audioRateHz, amplitude, random } = options;
  const decimation = Math.ceil((OVERSAMPLING * Math.max(ifBandwidthHz, 2 * peakDeviationHz)) / audioRateHz);
  const bandRateHz = decimation * audioRateHz;
  const sent = fmTransmitter({
    modulation: modulationAt(bandRateHz),
    carrier,
    peakDeviationHz,
    sampleRateHz: bandRateHz,
  });
  return fmReceiver({
    band: withNoise(sent, complexNoiseSigma(cn0DbHz, bandRateHz), random),
    bandRateHz,
    decimation,
    ifBandwidthHz,
    audioPerHz: amplitude / peakDeviationHz,
  });
}

function withNoise(band: ComplexSource, sigma: number, random: Random): ComplexSource {
  return {
    fill(re, im) {
      band.fill(re, im);
      random.addGaussian(re, sigma);
      random.addGaussian(im, sigma);
    },
  };
}

/** @throws FiveunitError `bad-fm-link` for a link that cannot be. */
export function checkFmLink({ cn0DbHz, ifBandwidthHz, peakDeviationHz }: FmLink): void {
  const isRatio = Math.abs(cn0DbHz) <= 200;
  ensure(isRatio, 'bad-fm-link', `C/N0 is ${cn0DbHz} dB-Hz; it may be -200 to 200 dB-Hz, 30 to 60 are usual`);
  const isWidth = ifBandwidthHz >= 1000 && ifBandwidthHz <= 250_000;
  ensure(isWidth, 'bad-fm-link', `the IF filter is ${ifBandwidthHz} Hz wide; it may be 1000 to 250000 Hz`);
  const isDeviation = peakDeviationHz >= 10 && peakDeviationHz <= 100_000;
  ensure(isDeviation, 'bad-fm-link', `the peak deviation is ${peakDeviationHz} Hz; it may be 10 to 100000 Hz`);
}

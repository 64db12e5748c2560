import type { PlannedBurst } from './burst-plan.ts';
import { fmTransmitter } from './fm-transmitter.ts';
import { KeyedCarrier } from './keyed-carrier.ts';
import { complexNoiseSigma } from './noise.ts';
import type { Random } from './random.ts';
import { placed, silence } from './reception.ts';
import { scene } from './scene.ts';
import type { ComplexSource } from './source.ts';

/** `fsk`: the carrier itself is keyed; `fm`: the two tones modulate its frequency, so far at their peaks. */
export type BandModulation = { readonly kind: 'fsk' } | { readonly kind: 'fm'; readonly peakDeviationHz: number };

export interface BandOptions {
  readonly bursts: readonly PlannedBurst[];
  readonly modulation: BandModulation;
  /** Middle between the tones, which for `fsk` comes to stand on the carrier. */
  readonly tonesMiddleHz: number;
  /** Turns of the carrier up to a time: its place in the band and all that moves it. */
  readonly turnsAt: (seconds: number) => number;
  /** Power of the carrier, one, over the one-sided noise density; null for none. */
  readonly cn0DbHz: number | null;
  readonly sampleRateHz: number;
  readonly random: Random;
}

/** What a receiver of a whole band hands over: carriers on during bursts alone, and white noise. */
export function band(options: BandOptions): ComplexSource {
  const { bursts, modulation, tonesMiddleHz, turnsAt, cn0DbHz, sampleRateHz, random } = options;
  const isFm = modulation.kind === 'fm';
  const sent = isFm
    ? fmTransmitter({
        modulation: scene(silence(), placed(bursts, sampleRateHz, 1, null), sampleRateHz),
        carrier: new KeyedCarrier(bursts, null),
        peakDeviationHz: modulation.peakDeviationHz,
        sampleRateHz,
      })
    : keyedCarrier(bursts, sampleRateHz);
  const turns = isFm ? turnsAt : (seconds: number) => turnsAt(seconds) - tonesMiddleHz * seconds;
  const moved = moving(sent, turns, sampleRateHz);
  const sigma = cn0DbHz === null ? 0 : complexNoiseSigma(cn0DbHz, sampleRateHz);
  return {
    fill(re, im) {
      moved.fill(re, im);
      if (sigma === 0) return;
      random.addGaussian(re, sigma);
      random.addGaussian(im, sigma);
    },
  };
}

/** The tones as one phasor: their sine is what a path that turns by a quarter makes of their cosine. */
function keyedCarrier(bursts: readonly PlannedBurst[], sampleRateHz: number): ComplexSource {
  const quarter = { re: 0, im: -1, moveTo: () => {} };
  const inPhase = scene(silence(), placed(bursts, sampleRateHz, 1, null), sampleRateHz);
  const paths = { mark: quarter, space: quarter };
  const quadrature = scene(silence(), placed(bursts, sampleRateHz, 1, paths), sampleRateHz);
  return {
    fill(re, im) {
      inPhase.fill(re);
      quadrature.fill(im);
    },
  };
}

/** Samples between two exact phases; between them the phase goes in a straight line, less than 1e-4 turns off. */
const STRAIGHT = 32;

function moving(source: ComplexSource, turnsAt: (seconds: number) => number, sampleRateHz: number): ComplexSource {
  let position = 0;
  let from = 0;
  let step = 0;
  return {
    fill(re, im) {
      source.fill(re, im);
      for (let i = 0; i < re.length; i++, position++) {
        const within = position % STRAIGHT;
        if (within === 0) {
          from = turnsAt(position / sampleRateHz);
          step = (turnsAt((position + STRAIGHT) / sampleRateHz) - from) / STRAIGHT;
          from -= Math.floor(from);
        }
        const angle = 2 * Math.PI * (from + within * step);
        const c = Math.cos(angle);
        const s = Math.sin(angle);
        const x = re[i];
        re[i] = x * c - im[i] * s;
        im[i] = x * s + im[i] * c;
      }
    },
  };
}
